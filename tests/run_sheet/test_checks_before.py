"""Checks before the shot come from the plan's conditions and from nothing else."""

from __future__ import annotations

from typing import Any

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.checks_before import check_groups, checks
from optimiser.run_sheet.contents import contents_of
from optimiser.run_sheet.taps import taps_of


def planned(fields: dict[str, Any], what: str) -> str:
    """What the one check that starts so asks for."""
    (found,) = [c for c in checks(PlanDocument.model_validate(fields)) if c.what.startswith(what)]
    return found.planned


def test_without_a_limit_of_the_shop_the_drop_test_leaves_a_blank(fields: dict[str, Any]) -> None:
    """The tool has no acceptance limit of its own."""
    asked = planned(fields, "Drop test")
    assert asked == "the yard's own limit: ……… mbar in ……… min"
    assert not any(char.isdigit() for char in asked)


def test_the_shop_s_own_drop_limit_is_printed_as_the_shop_s(fields: dict[str, Any]) -> None:
    """A limit from the case says whose it is."""
    fields["conditions"].update(drop_test_most_mbar=5.0, drop_test_min=10.0)
    assert planned(fields, "Drop test") == (
        "at most 5 mbar in 10 min (the shop's own limit). How much air that lets in is NOT KNOWN: the bag's air volume "
        "was not entered"
    )


def test_what_the_shop_s_limit_lets_in_is_told_where_the_bag_is_known(fields: dict[str, Any]) -> None:
    """Figures of the plan, and no limit of the tool; without the volume there is no such line."""
    assert not any(check.what.startswith("A bag that just") for check in checks(PlanDocument.model_validate(fields)))
    fields["leak"] = {
        "bag_litres": 50.0,
        "leak_mbar_litres_per_s": 0.41667,
        "over_s": 3600.0,
        "air_let_in_litres": 60.0,
        "air_let_in_g": 1.78,
        "pump_holds_mbar_abs": 0.1,
    }
    told = planned(fields, "A bag that just")
    assert told.startswith("lets in 0.42 mbar l/s: 60.0 litres over the shot, measured at ")
    assert told.endswith("the pump holds 0.1 mbar abs against it at best")
    fields["leak"] |= {"pump_holds_mbar_abs": None, "least_pump_m3_per_h": 3.21}
    asked = planned(fields, "A bag that just")
    assert asked.endswith(". NOT JUDGED whether your pump holds that: it must draw at least 3.3 m3/h there")
    assert "NOT JUDGED" not in planned(fields, "Drop test")
    fields["leak"]["leak_mbar_litres_per_s"] = 166.67
    assert planned(fields, "A bag that just").startswith("lets in 167 mbar l/s"), "in plain figures"


def test_drums_are_counted_where_the_case_says_what_one_holds(fields: dict[str, Any]) -> None:
    """Beside the kilograms to have on hand."""
    assert "drum" not in planned(fields, "Resin on hand")
    fields["resin"]["drums"] = 2
    assert planned(fields, "Resin on hand").endswith("; 2 full drums")


def test_every_tap_is_to_be_shut_and_every_vent_open(fields: dict[str, Any]) -> None:
    """All fifteen taps and both vents stand in the checks by label."""
    assert planned(fields, "EVERY TAP SHUT (15)").count(" · ") == 14
    assert planned(fields, "EVERY VENT OPEN (2)") == "V-AFT · V-FWD"


def test_a_mould_at_or_below_the_dew_point_stops_the_shot(fields: dict[str, Any]) -> None:
    """Condensation is named in capitals when the planned figures already show it."""
    assert "STOP" not in planned(fields, "Mould warmer")
    fields["conditions"]["dew_point_c"] = 21.0
    assert "STOP" in planned(fields, "Mould warmer")


def test_an_initiator_level_outside_the_maker_s_range_stops_the_shot(fields: dict[str, Any]) -> None:
    """Inside the range no alarm, outside an alarm in words."""
    assert "STOP" not in planned(fields, "Initiator level")
    fields["conditions"]["initiator_percent"] = 2.1
    assert "STOP: OUTSIDE THE RANGE" in planned(fields, "Initiator level")


def test_the_caps_of_a_metering_machine_are_set_once(machine_fields: dict[str, Any]) -> None:
    """Both caps of the plan are read back on the machine; an open container has none to set."""
    assert planned(machine_fields, "SET ONCE: flow cap") == "8 kg/min"
    assert planned(machine_fields, "Pressure cap, SET ONCE") == (
        "950 mbar abs at the outlet of the machine. On a dial that reads 0 in air this is MINUS ____ mbar: air today "
        "____ less 950 (in the plan 63 at 1013). NEVER set 950 on such a dial, NEVER above ambient. Cannot be set "
        "below zero: do not start, CALL"
    )


def test_without_a_machine_nothing_is_set(fields: dict[str, Any]) -> None:
    """Hose ends under mixed resin instead."""
    asked = [check.what for check in checks(PlanDocument.model_validate(fields))]
    assert not any("SET ONCE" in what for what in asked)
    assert any(what.startswith("Hose ends under mixed resin") for what in asked)


def test_a_tap_that_stays_shut_is_listed_after_those_that_turn(fields: dict[str, Any]) -> None:
    """Its label is still needed, and its tap must still be shut."""
    fields["steps"] = [step for step in fields["steps"] if step["label"] != "2-AFT"]
    taps = taps_of(PlanDocument.model_validate(fields))
    assert (taps[-1].label, taps[-1].order) == ("2-AFT", None)
    assert len(taps) == 17


def test_people_and_dry_work_come_before_the_initiator(plan: PlanDocument) -> None:
    """What needs mixed resin comes last, so that nothing gels while names are written down."""
    dry, wet = check_groups(plan)
    assert (dry.head, wet.head) == ("Before initiator goes in", "Just before the first tap")
    assert dry.rows[0].what == "Cautions on this sheet read out"
    assert any(row.what.startswith("EVERY TAP SHUT") for row in dry.rows)
    assert any("under mixed resin" in row.what for row in wet.rows)
    assert wet.rows[0].what.startswith("Went into the flush pot"), "a pot full of air on the pump dents the vacuum"
    assert wet.rows[1].what.endswith("PUMP STILL ON"), "a bag may have begun to leak since it was tested"
    assert wet.rows[1].planned == f"{plan.conditions.vacuum_mbar_abs:g} mbar abs or lower"


def test_the_bag_is_tested_as_it_is_infused_and_the_pump_is_on_before_the_initiator(plan: PlanDocument) -> None:
    """Taps, vents and flush valve first: else the drop test tests another bag. With the pump off nothing fills the
    manifold, or it pulls down the vacuum of the bag. Common practice, no source."""
    dry, _ = check_groups(plan)
    named = ("EVERY TAP SHUT", "EVERY VENT OPEN", "FLUSH VALVE SHUT", "Vacuum under", "Drop test", "PUMP ON")
    places = [next(n for n, row in enumerate(dry.rows) if row.what.startswith(what)) for what in named]
    assert places == sorted(places)
    (on,) = [row for row in dry.rows if row.what.startswith("PUMP ON")]
    assert "LEFT ON; FLUSH POT under vacuum" in on.what
    assert "BEFORE any initiator" in on.planned


def test_a_catch_pot_holds_what_runs_into_it(plan: PlanDocument) -> None:
    """As planned, and the reserve after it where a clamp is forgotten, rounded up."""
    (pots,) = [row for row in checks(plan) if row.what.startswith("Catch pots")]
    else_a_second = " kg or more, or a second pot stands before the pump"
    said = float(pots.planned.removeprefix("each holds ").removesuffix(else_a_second))
    assert 0 <= said - (plan.resin.drawn_into_vents_kg + plan.resin.reserve_kg) < 0.1 + 1e-9


def test_what_the_part_never_gets_is_had_too(plan: PlanDocument, machine_plan: PlanDocument) -> None:
    """Ratio sample, filling and the rest of the drum come on top where a machine feeds. Common practice, no source."""
    for one, told in ((machine_plan, True), (plan, False)):
        (resin,) = [row.planned for row in checks(one) if row.what == "Resin on hand"]
        (initiator,) = [row.planned for row in checks(one) if row.what == "Initiator on hand"]
        assert ("g for each kg of that, PLUS what the initiator pump cannot draw" in initiator) is told
        assert ("PLUS what the part never gets: ratio sample ____ kg" in resin) is told
        uses = [row.use for row in contents_of(one).quantities if row.amount == "NOT COUNTED"]
        assert any(use.startswith("Ratio sample") for use in uses) is told


def test_the_vacuum_is_given_as_a_gauge_shows_it_and_with_its_lower_end(fields: dict[str, Any]) -> None:
    """1013 less 20 mbar; how low it may go is the data sheet's."""
    asked = planned(fields, "Vacuum under the bag")
    assert asked.startswith("20 mbar abs or lower, but not below what the resin's data sheet allows (styrene boils)")
    assert "air today ____ less 20 = ____ mbar (in the plan 993 at 1013) or more" in asked


def test_a_scale_is_asked_for_where_steps_can_be_called_by_weight(fields: dict[str, Any]) -> None:
    """And only there."""
    assert planned(fields, "Container on a scale") .startswith("kg in = this reading + all that is poured in after")
    for step in fields["steps"]:
        step["trigger"]["backup"] = None
    assert not any("scale" in check.what for check in checks(PlanDocument.model_validate(fields)))


def test_a_supply_hose_that_is_not_counted_is_told_at_the_top_and_beside_the_kilograms(fields: dict[str, Any]) -> None:
    """Elsewhere it would stand among what is taken for granted only; where the case states one, nowhere."""
    path = {"path": "/supply/supply_hose", "value": "no hose before the manifold", "why": "nothing is lost"}
    for stated, assumed in ((True, fields["assumptions"]), (False, [*fields["assumptions"], path])):
        sheet = contents_of(PlanDocument.model_validate(fields | {"assumptions": assumed}))
        told = [one.amount for one in sheet.quantities if one.use.startswith("Supply hose before the manifold")]
        assert told == ([] if stated else ["NOT COUNTED"])
        assert any(line.startswith("NO supply hose is counted") for line in sheet.warnings) is not stated
        signed = [tick for tick in sheet.start if tick.startswith("SUPPLY HOSE not counted: ____ kg more,")]
        assert len(signed) == (0 if stated else 1)
        assert stated or sheet.start[0] == signed[0], "before anything is mixed"


def test_what_is_to_have_and_what_is_mixed_first_leave_room_for_an_uncounted_hose(fields: dict[str, Any]) -> None:
    """Its kilograms come on top of both, wherever the case states no hose; where it states one, they are in both."""
    path = {"path": "/supply/supply_hose", "value": "no hose before the manifold", "why": "nothing is lost"}
    fields["resin"] |= {"mixes": None}
    for stated, assumed in ((True, fields["assumptions"]), (False, [*fields["assumptions"], path])):
        plan = PlanDocument.model_validate(fields | {"assumptions": assumed})
        (to_have,) = [row.planned for row in checks(plan) if row.what == "Resin on hand"]
        assert ("PLUS what fills the supply hose ____ kg" in to_have) is not stated
        (mixed,) = [tick for tick in contents_of(plan).start if tick.startswith("FIRST MIX MADE")]
        assert ("(manifold, first 10 min; PLUS the supply hose)" in mixed) is not stated


def test_nobody_has_two_jobs_that_fall_together(plan: PlanDocument, machine_plan: PlanDocument) -> None:
    """Whoever weighs stirs, another stays at the container, a third turns the flush valve; a machine is looked at."""
    for one, words in ((plan, "2 at the resin, one weighs and stirs"), (machine_plan, "1 at the machine")):
        (row,) = [row for row in checks(one) if row.what.startswith("At resin and flush pot")]
        assert row.planned.startswith(words)
        assert row.planned.endswith("1 more at flush valve and pot")
