"""What the tap table says."""

from __future__ import annotations

import math
from typing import Any

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.checks_before import checks
from optimiser.run_sheet.go_ahead import HOW_TO_READ, how_to_read
from optimiser.run_sheet.part_way_marks import pen_marks
from optimiser.run_sheet.rows import ALL_ABOVE_ON_TIME, every_row, step_groups
from optimiser.run_sheet.typeface import NO_BREAK


def test_neighbours_with_one_trigger_read_as_one_group(plan: PlanDocument) -> None:
    """Five rows of three taps and two vents of their own make seven groups, each with one sentence."""
    groups = step_groups(plan)
    assert [len(group.rows) for group in groups] == [3, 3, 3, 3, 3, 1, 1]
    assert groups[1].says == "When resin reaches line 1 along its whole length"
    assert groups[1].backup == "After 48 kg have gone in"


def test_every_step_stands_once_and_in_order(fields: dict[str, Any]) -> None:
    """However the steps are listed, the crew reads them by their order."""
    fields["steps"].reverse()
    rows = list(every_row(step_groups(PlanDocument.model_validate(fields))))
    assert [row.order for row in rows] == list(range(1, 18))


def test_same_trigger_in_other_words_keeps_each_step_s_own_sentence(fields: dict[str, Any]) -> None:
    """Where the sentences name their own tap, none of them may get lost in the group."""
    for step in fields["steps"]:
        step["trigger"] = {**step["trigger"], "says": f"open {step['label']} now"}
    groups = step_groups(PlanDocument.model_validate(fields))
    assert [len(group.rows) for group in groups] == [3, 3, 3, 3, 3, 1, 1]
    assert groups[0].says == ""
    assert [row.own_trigger for row in groups[0].rows] == [f"Open {name} now" for name in ("1-MID", "1-AFT", "1-FWD")]


def test_a_step_the_run_never_came_to_shows_no_minute(fields: dict[str, Any]) -> None:
    """A made-up minute would be worse than none."""
    fields["steps"][-1].update(expected_at_s=None, earliest_s=None, latest_s=None)
    *_, last = every_row(step_groups(PlanDocument.model_validate(fields)))
    assert (last.minute, last.spread) == ("no time", "")


def test_a_tap_that_all_is_wet_before_is_called_not_expected(fields: dict[str, Any]) -> None:
    """On a plan that is wet at some time; where it never is, nobody knows."""
    fields["steps"][10].update(expected_at_s=None, earliest_s=None, latest_s=None)
    for wet_out_s, said in ((2_640.0, ("not expected", "all wet before")), (None, ("no time", ""))):
        plan = PlanDocument.model_validate(fields | {"wet_out_s": wet_out_s})
        row = list(every_row(step_groups(plan)))[10]
        assert (row.action, row.minute, row.spread) == ("OPEN", *said)


def test_a_clamp_is_never_done_by_weight(fields: dict[str, Any]) -> None:
    """Whatever backup a stored plan has: who cannot see the vent does not clamp it."""
    fields["steps"][-1]["trigger"]["backup"] = "or after 73 kg"
    *_, last = step_groups(PlanDocument.model_validate(fields))
    assert last.backup == "Do NOT clamp. CALL"


def test_a_backup_by_weight_means_what_has_gone_in(fields: dict[str, Any]) -> None:
    """'After 23.8 kg' reads like the column beside it, and holds only if nothing above it was late or left out."""
    fields["steps"][3]["trigger"]["backup"] = "or after 23.8 kg"
    rows = list(every_row(step_groups(PlanDocument.model_validate(fields))))
    assert rows[3].own_backup == f"After 23.8 kg in{ALL_ABOVE_ON_TIME}"


def bled_before(fields: dict[str, Any], *places: int) -> PlanDocument:
    for place in places:
        fields["steps"][place]["bled_before_litres"] = 0.5
    return PlanDocument.model_validate(fields)


def test_what_is_bled_stands_before_its_trigger(fields: dict[str, Any], machine_plan: PlanDocument) -> None:
    """By its valve, begun about two minutes before the step calls. Step 4 is done at 500 s and takes 20 s, so it calls
    at 480 s and this begins at 360 s; 0.094 kg/s have drawn 33.84 kg then. From 33.8 kg to the step are 13.2 kg, half a
    litre is bled, and 3.2 kg stay, a tenth of a mix: 16.94 kg. By hand."""
    plan = bled_before(fields, 3)
    groups = step_groups(plan)
    (ahead,) = groups[1].ahead
    assert ahead.do == (
        "BLEED for step 4 BEFORE its trigger comes: begin at 33.8 kg drawn (about min 6), step 3 done. "
        "AT LEAST 17.0 kg IN THE CONTAINER before the valve is touched. "
        "FLUSH VALVE (at the far end of the manifold, beyond the last tap) open A LITTLE until the FLUSH POT has risen "
        "by ONE MARK, 0.5 l (the mark rules; ____ s at filling), valve SHUT again."
    )
    assert "takes time that is NOT in the expected minute: if the trigger is there meanwhile or already" in ahead.notes
    assert "NEVER INTO AN OPEN BUCKET" in ahead.notes
    assert [not group.ahead for group in groups] == [True, False, True, True, True, True, True]
    assert not any(group.ahead for group in step_groups(machine_plan))


def test_what_was_bled_before_is_in_the_weight_at_which_it_begins(fields: dict[str, Any]) -> None:
    """Step 7 is done at 940 s, so 800 s and 75.2 kg; the half litre of step 4 was drawn too, 0.54 kg. By hand."""
    (ahead,) = step_groups(bled_before(fields, 3, 6))[2].ahead
    assert "begin at 75.7 kg drawn (about min 13), step 6 done" in ahead.do
    fields["consumption"]["time_s"] = fields["consumption"]["drawn_kg"] = []
    (by_sight,) = step_groups(PlanDocument.model_validate(fields))[2].ahead
    assert "begin when step 6 is done and resin is a finger's width short of what it names" in by_sight.do


def test_steps_due_together_are_bled_for_once(fields: dict[str, Any]) -> None:
    """Steps 4 and 5 are 20 s apart, step 7 is 440 s later. Where the gel clock has less in hand than they are apart
    the second is bled for by itself."""
    plan = bled_before(fields, 3, 4, 6)
    groups = step_groups(plan)
    (ahead,), (later,) = groups[1].ahead, groups[2].ahead
    assert ahead.do.startswith("BLEED ONCE for steps 4 and 5, due together, BEFORE the trigger of step 4 comes: begin")
    assert later.do.startswith("BLEED for step 7 BEFORE its trigger comes")
    assert [row.order for row in every_row(groups) if row.first] == [plan.steps[-1].order], "the last vent"
    fields["gel_clock"] = {
        "judged_by": "each_place",
        "age_at_first_tap_s": 0.0,
        "least_margin_s": 10.0,
        "least_margin_at": "zone 1",
        "age_there_s": 100.0,
        "age_limit_there_s": 110.0,
        "viscosity_first_tap_mpa_s": 210.0,
        "viscosity_wet_out_mpa_s": 210.0,
        "temperatures": [],
    }
    tight = step_groups(PlanDocument.model_validate(fields))[1]
    (again,) = tight.rows[1].first
    assert tight.ahead
    assert again.do.startswith("BLEED for step 5 BEFORE its trigger comes: begin at once when step 4 is done")


def test_before_a_clock_it_is_bled_by_the_clock(fields: dict[str, Any]) -> None:
    """No front shows that the step is near: two minutes ahead, or at once where there are none."""
    step = fields["steps"][3]
    for at_s, cue in ((500.0, "begin 2 min before its time, and when step 3 is done."), (90.0, "begin when step 3 is")):
        step["trigger"] = {"kind": "clock", "at_s": at_s, "says": "by the clock"}
        (ahead,) = step_groups(bled_before(fields, 3))[1].ahead
        assert cue in ahead.do


def test_what_is_let_into_the_flush_pot_comes_off(fields: dict[str, Any]) -> None:
    """Twice half a litre at the plan's density: the second says what both come to, and the kilograms of each step
    stand there as the scale reads them too."""
    fields["steps"][6]["drawn_kg"] = 88.0
    fields["steps"][6]["trigger"].update(place="2", backup="or after 80.2 kg")
    plan = bled_before(fields, 3, 6)
    groups = step_groups(plan)
    each_kg = 0.5e-3 * plan.conditions.resin_density_kg_per_m3
    for bled, times in zip((*groups[1].ahead, *groups[2].ahead), (1, 2), strict=True):
        assert f" From then on 'kg in' = kg drawn less {times * each_kg:.1f} kg (bled since zero)." in bled.notes
    rows = {row.order: row for row in every_row(groups)}
    assert rows[3].amount.endswith(" in")
    assert rows[7].amount == "88.0 kg in = 89.1 DRAWN"
    above = ALL_ABOVE_ON_TIME.replace("all steps", "BLEED and all steps")
    assert groups[2].backup == "After 80.2 kg in = 81.3 DRAWN" + above, "80.2 + 1.08, rounded up"


def test_the_valve_that_is_named_is_checked_before(
    fields: dict[str, Any], plan: PlanDocument, machine_plan: PlanDocument
) -> None:
    """Shut, with its name on it, on every sheet: the manifold is filled through it. Its pot is marked for bleeding."""
    for one in (bled_before(fields, 3), plan, machine_plan):
        assert [check.what for check in checks(one)].count("FLUSH VALVE SHUT, its name on it") == 1
    assert not any(check.what.startswith("Flush pot") for check in checks(plan))
    bled = bled_before(fields, 4, 6)
    (pot,) = [check for check in checks(bled) if check.what.startswith("Flush pot")]
    assert pot.planned.startswith("4 marks, one every 0.5 l: filling, 2 x bleeding, one spare"), "5 by itself, 7"
    assert pot.blank == "who works it (no tap)"


def test_a_label_of_figures_is_written_with_its_word(fields: dict[str, Any]) -> None:
    """Tap 2, step 2 and minute 2 must not be taken for one another; the sentence about line 2 stays."""
    fields["steps"][0]["label"] = "2"
    fields["steps"][-1]["label"] = "7"
    rows = list(every_row(step_groups(PlanDocument.model_validate(fields))))
    assert (rows[0].label, rows[1].label, rows[-1].label) == ("TAP 2", "1-AFT", "VENT 7")


def test_the_flow_reads_as_seen_not_as_set(plan: PlanDocument) -> None:
    """Kilograms so far apart from the flow, which nobody is to set."""
    first = next(every_row(step_groups(plan)))
    assert (first.amount, first.flow) == ("0.0 kg in", "first seconds: 4.9 kg/min")
    assert any("all open taps together, soon far less" in line for line in HOW_TO_READ)


def test_part_of_a_line_is_explained_where_a_tap_goes_by_it(fields: dict[str, Any]) -> None:
    """And nowhere else; a clamp at a share of its vent is no such tap."""
    assert how_to_read(PlanDocument.model_validate(fields)) == HOW_TO_READ
    opens = next(step for step in fields["steps"] if step["action"] == "open" and step["trigger"].get("place"))
    opens["trigger"]["share"] = 0.75
    plan = PlanDocument.model_validate(fields)
    says = " ".join(how_to_read(plan))
    assert f"'{opens['trigger']['says']}': so much of its length" in says
    assert "PALE WITH WET ON BOTH SIDES of it: wait" in says
    (marks,) = pen_marks(plan)
    (run,) = [one for one in plan.map.runs if one.label == opens["trigger"]["place"]]
    length_m = sum(map(math.dist, run.run_mm, run.run_mm[1:])) / 1000
    assert f"{run.label} {length_m:.2f} m: pale at most {math.floor(25 * length_m)} cm" in marks.planned
    assert marks in checks(plan)


def test_numbers_that_are_no_step_numbers_are_told(fields: dict[str, Any]) -> None:
    """Where taps are called by bare figures that are those of other steps."""
    assert not any("STEP NUMBERS" in line for line in how_to_read(PlanDocument.model_validate(fields)))
    first = next(step for step in fields["steps"] if step["action"] == "open")
    first["label"] = str(first["order"] + 1)
    (said,) = [line for line in how_to_read(PlanDocument.model_validate(fields)) if "STEP NUMBERS" in line]
    assert f"step {first['order']} is TAP {first['order'] + 1}" in said


def test_a_vent_inside_the_part_waits_for_what_lies_round_it(fields: dict[str, Any]) -> None:
    """There is no edge that it could wait for."""
    clamp = [step for step in fields["steps"] if step["action"] == "clamp"][-1]
    run = next(one for one in fields["map"]["runs"] if one["label"] == clamp["label"])
    run["run_mm"] = [(6_600.0, 1_000.0), (7_000.0, 1_000.0)]
    *_, last = step_groups(PlanDocument.model_validate(fields))
    assert "AND nothing dry to the eye before it or all round it" in last.says


def test_a_clamp_waits_for_more_than_resin_in_the_vent(fields: dict[str, Any]) -> None:
    """Nothing dry before it either; a gap beside it fills first and is named, one far away is not."""
    *_, last = step_groups(PlanDocument.model_validate(fields))
    assert last.says == (
        "When resin stands in V-FWD along nine tenths AND nothing dry to the eye before it or between it and the edge"
    )
    beside, far = [(6_600.0, 2_100.0), (12_700.0, 2_350.0)], [(0.0, 0.0), (9_000.0, 0.0)]
    fields["map"]["race_tracks"] = [{"name": "keel", "run_mm": far}, {"name": "sheer", "run_mm": beside}]
    *_, last = step_groups(PlanDocument.model_validate(fields))
    assert last.says.endswith(". The gap 'sheer' fills first: that is not the signal")
    assert "keel" not in last.says


def test_a_weight_that_an_earlier_step_has_calls_for_nothing_more(fields: dict[str, Any]) -> None:
    """The tap that it called for first soon draws more by itself."""
    for place in (2, 3):
        fields["steps"][place]["trigger"].update(place=f"{place}", backup="or after 23.8 kg")
    groups = step_groups(PlanDocument.model_validate(fields))
    told = [group.backup for group in groups if "23.8" in group.backup or "by kg" in group.backup]
    assert told == [f"After 23.8 kg in{ALL_ABOVE_ON_TIME}", "Do NOT go by kg. CALL"]


def test_a_step_by_sight_without_a_weight_is_not_opened_blind(fields: dict[str, Any]) -> None:
    """What the plan has no kilograms for is asked about, not guessed."""
    fields["steps"][3]["trigger"].update(place="4", backup=None)
    assert step_groups(PlanDocument.model_validate(fields))[1].backup == "Do NOT go by kg. CALL"


def test_a_weight_says_what_it_holds_for() -> None:
    """What has gone in depends on every tap before."""
    for said in ("all steps above are done", "none late", "none below done", "else CALL"):
        assert said in ALL_ABOVE_ON_TIME


def test_where_two_or_more_turn_taps_there_is_room_for_who(fields: dict[str, Any]) -> None:
    """One alone needs none, and where the plan says who, it stands there."""
    said = []
    for hands, person in ((1, None), (2, None), (2, 2)):
        fields["conditions"]["hands"] = hands
        fields["steps"][0]["person"] = person
        said.append(next(every_row(step_groups(PlanDocument.model_validate(fields)))).what)
    assert [f"who{NO_BREAK}_____" in what for what in said] == [False, True, False]
    assert said[2].endswith("person 2")


def test_kilograms_are_given_only_to_somebody_who_is_free(fields: dict[str, Any]) -> None:
    """Step 7 at 88 kg while step 4 is done at 89: with one pair of hands it can never be met, with two the other may be
    at it; with two steps in hand nobody is free."""
    fields["steps"][6]["trigger"].update(place="2", backup="or after 88.0 kg")
    fields["steps"][3]["drawn_kg"] = 89.0
    told = []
    for hands, second_kg in ((1, 50.0), (2, 50.0), (2, 89.5)):
        fields["conditions"]["hands"] = hands
        fields["steps"][4]["drawn_kg"] = second_kg
        told.append(next(row.own_backup or group.backup for group in step_groups(PlanDocument.model_validate(fields))
                         for row in group.rows if row.order == 7))
    assert told[0] == told[2] == "Do NOT go by kg. CALL"
    assert "done (step 4: your mate may still be at it), none late" in told[1]


def test_steps_on_one_sign_say_how_many_at_once(fields: dict[str, Any]) -> None:
    """Three taps wait for one strip: the others open with it. And minutes come in halves, to show which is first."""
    fields["conditions"]["hands"] = 2
    fields["steps"][3]["expected_at_s"] = 515.0
    groups = step_groups(PlanDocument.model_validate(fields))
    assert groups[0].count == "3 actions, 2 at a time, in this order"
    assert groups[1].count == "3 actions on this one sign, 2 at a time, in this order"
    assert groups[1].rows[0].minute == "min 8.5", "515 s are 8.58 min"
