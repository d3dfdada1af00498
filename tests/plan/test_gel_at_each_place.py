"""Gel judged by the resin that wets each place, against the rule that takes the oldest everywhere."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from optimiser.case.change_document import read_change
from optimiser.case.plan_document import PlanDocument, Verdict
from optimiser.case.planning import check_sequence_of_case
from optimiser.case.read_case import case_from_mapping
from optimiser.filling.many_runs import run_scene
from optimiser.part.sequence import Action, Sequence, Step, Trigger, TriggerKind
from optimiser.plan.gel_judgement import births_at_front_s, clocks_of_mixes, judge_gel
from optimiser.plan.resin_clock import clock_of_shot
from optimiser.plan.scenes import full_network_of, full_scene_of, limits_of
from optimiser.revalidation.answer import CannotLookUp, Kind
from optimiser.revalidation.facts import facts_of
from optimiser.revalidation.look_up import look_up
from optimiser.revalidation.replay import replay

MACHINE = {
    "kind": "metering_machine",
    "pressure_cap_mbar_abs": 1000,
    "flow_cap_kg_per_min": 20,
    "manifold_volume_litres": 0,
}
MIXES = {"kind": "mixes", "mix_kg": 1, "minutes_per_mix": 2, "surface_height_mm": 0, "manifold_volume_litres": 0}
OPENS_S = 300.0
HAND_S = 15.0
AGE_MIN = 3.0


def data(panels: Any, *, supply: dict[str, Any] | None = None, judged_by: str = "each_place", **process: Any) -> Any:
    """A line near one edge and one further in, opened by the clock ahead of the front: it wets the wide far side."""
    document = panels.data(
        width_mm=1500,
        lines_y_mm=(100, 600),
        supply=supply or MACHINE,
        process={
            "gel_judged_by": judged_by,
            "age_at_first_tap_min": AGE_MIN,
            **process,
        },
    )
    for line in document["feed_lines"]:  # from edge to edge, so that no resin of the first runs round the second
        ((_, y_mm), _) = line["sections"][0]["run_mm"]
        line["sections"][0]["run_mm"] = [[5, y_mm], [1195, y_mm]]
    between = {**document["vents"][0], "name": "V-MID", "run_mm": [[5, 550], [1195, 550]]}
    document["vents"].append(between)  # or the bay that the second line closes in would lock
    for vent in document["vents"]:  # nobody clamps them
        vent["catch_pot_litres"] = 100
    if (supply or MACHINE)["kind"] == "mixes":
        document["supply"] = supply
    return document


def sequence(panels: Any) -> Sequence:
    return panels.sequence(panels.by_clock({"1": 0.0, "2": OPENS_S})[:2])  # type: ignore[no-any-return]


def checked(panels: Any, document: Any) -> PlanDocument:
    return check_sequence_of_case(case_from_mapping(document), sequence(panels))


def played(panels: Any, document: Any, *after: Step) -> Any:
    shot = case_from_mapping(document).shot
    network, clock = full_network_of(shot), clock_of_shot(shot)
    steps = Sequence(steps=(*sequence(panels).steps, *after))
    run = run_scene(full_scene_of(shot, network, clock), steps, limits_of(shot, clock.gel_time_s))
    return shot, network, clock, run


def test_resin_of_a_machine_is_as_old_as_its_line_is_open(panels: Any) -> None:
    """Near the far line from its opening on, near the first from the start; the age at the first tap on top."""
    shot, network, clock, run = played(panels, data(panels))
    births_s = births_at_front_s(shot, clock, run)[: network.cell_count]
    y_m = network.y_m[: network.cell_count]
    assert births_s[y_m < 0.2] == pytest.approx(-60 * AGE_MIN)
    assert births_s[y_m > 0.7] == pytest.approx(OPENS_S + HAND_S - 60 * AGE_MIN, abs=0.2)


@pytest.mark.parametrize("supply", [MACHINE, {**MACHINE, "manifold_volume_litres": 0.5}, MIXES], ids=str)
def test_no_place_is_tighter_than_with_the_oldest_resin_everywhere(panels: Any, supply: dict[str, Any]) -> None:
    """Births are never before that of the first mix, so no age is greater and no limit is sooner."""
    shot, network, clock, run = played(panels, data(panels, supply=supply))
    births_s = births_at_front_s(shot, clock, run)
    oldest_s = min(-clock.age_at_first_tap_s, births_s.min())
    sheet = slice(0, network.sheet_count)
    assert (births_s[sheet] >= oldest_s).all()
    assert (births_s[sheet] <= run.arrival_s[sheet]).all()
    each = judge_gel(shot, clock, network, run)
    ages_s = run.arrival_s[sheet] - births_s[sheet]
    assert ages_s.max() <= run.wet_out_s - oldest_s + 1e-6
    assert each.margin_s >= shot.process.gel_fraction * clock.gel_time_s + oldest_s - run.wet_out_s - 1e-6
    assert each.margin_s == pytest.approx((shot.process.gel_fraction * clock.gel_time_s - ages_s).min())


def test_what_stands_in_the_manifold_is_as_old_as_the_first_resin(panels: Any) -> None:
    """It may come first out of any tap: nothing is gained, unless it is let out before; and the plan says so."""
    stands = {**MACHINE, "manifold_volume_litres": 0.5}
    shot, _, clock, run = played(panels, data(panels, supply=stands))
    assert np.unique(births_at_front_s(shot, clock, run)) == pytest.approx([-60 * AGE_MIN])
    assert any("stands in hose and manifold" in one for one in checked(panels, data(panels, supply=stands)).warnings)
    bled = {**stands, "bled_before_each_tap": True}
    shot, _, clock, run = played(panels, data(panels, supply=bled))
    assert len(np.unique(births_at_front_s(shot, clock, run).round(3))) > 1
    assert any("into a flush pot" in one for one in checked(panels, data(panels, supply=bled)).warnings)


def test_resin_of_mixes_is_as_old_as_the_mix_drawn_from(panels: Any) -> None:
    """What comes in when the far line opens is of the mix of that moment, its initiator in before it was wanted."""
    document = data(panels, supply=MIXES)
    shot, network, clock, run = played(panels, document)
    plan = checked(panels, document)
    births_s = births_at_front_s(shot, clock, run)[: network.cell_count]
    of_far = births_s[network.y_m[: network.cell_count] > 0.82]
    drawn = [mix for mix in plan.mixes if mix.wanted_at_s <= OPENS_S + HAND_S][-1]
    assert drawn.number > 1
    assert of_far == pytest.approx(drawn.initiator_in_at_s)


def test_a_manifold_full_of_the_first_mix_feeds_the_first_line(panels: Any) -> None:
    """Bled before every tap after the first; what the first gives at once is the first mix, though it holds two."""
    supply = {**MIXES, "manifold_volume_litres": 2.5, "bled_before_each_tap": True}
    shot, network, clock, run = played(panels, data(panels, supply=supply))
    births_s = births_at_front_s(shot, clock, run)[: network.cell_count]
    near = network.y_m[: network.cell_count] < 0.1
    assert births_s[near].min() == pytest.approx(min(-60 * AGE_MIN, clocks_of_mixes(shot, run)[0].begun_s))


def test_once_a_line_is_shut_the_oldest_resin_counts(panels: Any) -> None:
    """What it sent is pushed on by older resin from the line before it."""
    shut = Step(action=Action.CLOSE, label="2", trigger=Trigger(kind=TriggerKind.CLOCK, at_s=OPENS_S + 60.0))
    shot, _, clock, run = played(panels, data(panels), shut)
    assert births_at_front_s(shot, clock, run) == pytest.approx(-60 * AGE_MIN)


def gel_test(gel_min: float) -> dict[str, Any]:
    return {"gel_test": {"temperature_c": 20, "initiator_percent": 1.5, "gel_time_min": gel_min}}


def test_the_rule_of_the_case_decides_the_verdict(panels: Any) -> None:
    """With a gel time between what the two rules need, one shot is verified by each place and late by the oldest."""
    shot, network, clock, run = played(panels, data(panels))
    births_s = births_at_front_s(shot, clock, run)[: network.sheet_count]
    by_place_s = float((run.arrival_s[: network.sheet_count] - births_s).max())
    by_oldest_s = run.wet_out_s + clock.age_at_first_tap_s
    assert by_place_s < 0.95 * by_oldest_s
    between_min = (by_place_s + by_oldest_s) / 2 / 0.7 / 60
    verdicts = {}
    for rule in ("oldest_resin", "each_place"):
        document = data(panels, judged_by=rule)
        for point in document["resin"]["gel_time_points"]:
            point["gel_time_min"] *= between_min / 90
        plan = verdicts[rule] = checked(panels, document)
        assert plan.gel_clock is not None
        assert plan.gel_clock.judged_by == rule
        assert plan.gel_margin_s == pytest.approx(plan.gel_limit_s - plan.wet_out_s)
    assert verdicts["oldest_resin"].verdict is Verdict.NOT_ADMISSIBLE
    assert verdicts["each_place"].verdict is Verdict.VERIFIED
    assert verdicts["each_place"].gel_clock.age_there_s == pytest.approx(by_place_s)
    assert "zone" in verdicts["each_place"].gel_clock.least_margin_at


def test_a_place_whose_resin_is_too_old_is_named(panels: Any) -> None:
    """With how old it is and may be."""
    document = data(panels)
    for point in document["resin"]["gel_time_points"]:
        point["gel_time_min"] *= 6 / 90
    plan = checked(panels, document)
    (reason,) = [one for one in plan.reasons if "gel time" in one.requirement]
    assert reason.requirement == "each place is wet within 70% of the gel time of its resin"
    assert "zone" in reason.where
    assert "min old when it is wet, limit 4 min" in reason.by_how_much


def test_after_a_change_the_runs_judge_each_place_and_no_look_up_does(panels: Any) -> None:
    """They say what checking the changed case says."""
    document = data(panels)
    case = case_from_mapping(document)
    facts = facts_of(case, checked(panels, document))
    assert facts.at_each_place
    change = read_change(gel_test(80))
    assert isinstance(look_up(facts, change), CannotLookUp)
    found = replay(document, facts, change)
    assert found.kind is not Kind.NO_LONGER_VALID
    for point in document["resin"]["gel_time_points"]:
        point["gel_time_min"] *= 80 / 90
    again = checked(panels, document)
    assert found.gel_limit_after_s == pytest.approx(again.gel_limit_s)
    assert found.margin_after_s == pytest.approx(again.gel_margin_s)


def test_a_first_mix_begun_sooner_than_counted_is_refused(panels: Any) -> None:
    """Mixes that take long are begun long before the first tap, and the run counted with three minutes."""
    slow = {**MIXES, "minutes_per_mix": 15}
    plan = checked(panels, data(panels, supply=slow, judged_by="oldest_resin"))
    told = [one for one in plan.reasons if "no older at the first tap" in one.requirement]
    assert len(told) == 1
    assert "age_at_first_tap_min of" in told[0].remedy


def test_what_is_let_into_the_flush_pot_is_bought_and_said_at_the_step(panels: Any) -> None:
    """Half a litre before the one tap after the first: on top of all else, with the reserve."""
    stands = {**MACHINE, "manifold_volume_litres": 0.5}
    supplies = (stands, {**stands, "bled_before_each_tap": True})
    kept, bled = (checked(panels, data(panels, supply=one)) for one in supplies)
    assert [step.bled_before_litres for step in bled.steps] == [None, pytest.approx(0.5)]
    assert kept.resin.bled_kg is None
    assert bled.resin.bled_kg == pytest.approx(0.5 * 1.08, rel=0.05)
    reserve = bled.resin.reserve_kg / (bled.resin.total_kg - bled.resin.reserve_kg)
    assert bled.resin.total_kg - kept.resin.total_kg == pytest.approx(bled.resin.bled_kg * (1 + reserve))
