"""What a plan promises: it holds when played again, and nothing that a person would have tried is better."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest

from optimiser.case.plan_document import PlanDocument, Verdict
from optimiser.case.planning import check_sequence_of_case
from optimiser.case.read_sequence import read_sequence
from optimiser.filling.many_runs import run_scene
from optimiser.plan.scenes import FULL, limits_of, scenes_of

SAME_S = 1e-6
"""A second run of the same sequence takes the same steps."""
WHOLE_SECOND_S = 1.0
"""Plans that differ by less than a second count as equally fast; the one with fewer taps is taken."""


def checked_again(panels: Any, plan: PlanDocument, layout: dict[str, Any]) -> PlanDocument:
    sequence = read_sequence(plan.model_dump_json().encode())
    return check_sequence_of_case(panels.case(**layout), sequence)


def test_a_plan_read_back_as_a_sequence_gives_the_same_shot(panels: Any, layout: dict[str, Any]) -> None:
    """plan.json, taken as a sequence and played: same verdict, wet-out, steps, zones and locks."""
    plan = panels.plan(**layout)
    again = checked_again(panels, plan, layout)
    assert (again.verdict, again.reasons, again.locked) == (plan.verdict, plan.reasons, plan.locked)
    assert again.wet_out_s == pytest.approx(plan.wet_out_s, abs=SAME_S)
    assert [zone.wet_s for zone in again.zones] == pytest.approx([zone.wet_s for zone in plan.zones], abs=SAME_S)
    for ours, theirs in zip(plan.steps, again.steps, strict=True):
        assert (ours.label, ours.action) == (theirs.label, theirs.action)
        assert ours.expected_at_s == pytest.approx(theirs.expected_at_s, abs=SAME_S)


def test_no_rule_by_hand_is_better(panels: Any, layout: dict[str, Any]) -> None:
    """All taps at once, and outward from each line by reach or by bay: none that holds is faster than the plan.

    Each is played as planned, which is the run that its wet-out is of; only one that stays clean there and would be
    faster has to be checked with the spread and on finer cells, for only that could be better.
    """
    plan, shot = panels.plan(**layout), panels.case(**layout).shot
    scenes = scenes_of(shot)
    labels = tuple(line["name"] for line in panels.data(**layout)["feed_lines"])
    by_hand = [panels.outward(labels, labels)]
    by_hand += [panels.outward(labels, (first,), on=on) for first in labels for on in ("reached", "wet_up_to")]
    to_beat_s = plan.wet_out_s - WHOLE_SECOND_S if plan.verdict is Verdict.VERIFIED else math.inf
    for steps in by_hand:
        run = run_scene(scenes.all[FULL], panels.sequence(steps), limits_of(shot, scenes.gel_time_s))
        if run.clean and run.wet_out_s < to_beat_s:
            assert panels.check(steps, **layout).verdict is not Verdict.VERIFIED, steps


def test_the_bound_is_not_beaten(panels: Any, layout: dict[str, Any]) -> None:
    """Nothing that was played all through is faster than all lines open at once without hands and cap.

    Comparison principle of the moving front: opening more, or earlier, never wets a cell later (Elliott and Janovsky
    1981 for the obstacle problem, from memory). Coarse runs are another network and may differ by its cells; where air
    is locked, wet-out is that of the rest.
    """
    plan = panels.plan(**layout)
    assert plan.proof.bound_s is not None
    clean = [one for one in plan.candidates if "coarse" not in one.remark and one.locked_litres == 0]
    on_full = [one.wet_out_s for one in clean if one.wet_out_s is not None]
    assert on_full
    assert plan.proof.bound_s <= min(on_full) * (1 + 1e-3), "a step of the front is settled to a thousandth of a cell"


def test_the_bound_knows_what_a_capped_supply_gives(panels: Any) -> None:
    """Volume over flow: the kilograms of the part at 0.4 kg a minute outlast all lines at once."""
    plan = panels.plan(**panels.layouts["flow cap"])
    part_kg = plan.resin.laminate_kg + plan.resin.core_kg + plan.resin.flow_mesh_kg
    assert plan.proof.bound_s == pytest.approx(part_kg / 0.4 * 60, rel=1e-9)


def test_the_zones_drain_to_their_vents(panels: Any, layout: dict[str, Any]) -> None:
    """Each zone's way to its vent is wet later at every zone along it, and ends at a zone that names the vent."""
    plan = panels.plan(**layout)
    zones = {zone.name: zone for zone in plan.zones}
    ways = [zone for zone in plan.zones if zone.vent is not None]
    assert ways
    for zone in ways:
        times = [zones[name].wet_s for name in zone.path]
        assert zone.path[0] == zone.name
        assert times == sorted(times)
        assert zones[zone.path[-1]].vent == zone.vent


def test_gel_margin_is_what_is_left_of_the_stated_share(panels: Any, layout: dict[str, Any]) -> None:
    """The demo resin gels in 90 min at 20 degrees C and wet-out may take 70 % of it: 63 min."""
    plan = panels.plan(**layout)
    assert plan.gel_time_s == pytest.approx(90 * 60, rel=1e-9)
    assert plan.gel_limit_s == pytest.approx(63 * 60, rel=1e-9)
    assert plan.gel_margin_s == pytest.approx(63 * 60 - plan.wet_out_s, abs=1e-6)


def test_the_most_of_these_panels_can_be_planned(panels: Any) -> None:
    """Else the promises above would be empty."""
    verified = [panels.plan(**layout).verdict is Verdict.VERIFIED for layout in panels.layouts.values()]
    assert sum(verified) >= len(verified) - 2


def test_the_answer_is_no_worse_than_the_users_own_sequence(panels: Any) -> None:
    """By the clock, as no rule would write it, and faster than any: it is bettered or taken."""
    steps = panels.by_clock({"2": 0, "3": 115, "1": 135})
    own = panels.check(steps)
    rules = {"own_sequence": {"schema_version": 1, "steps": steps}}
    plan = panels.plan(rounds=1, rules=rules)
    assert (own.verdict, plan.verdict) == (Verdict.VERIFIED, Verdict.VERIFIED)
    assert plan.wet_out_s <= own.wet_out_s + WHOLE_SECOND_S
    by_rule = [one for one in plan.candidates if one.name.startswith("outward") and one.admissible]
    assert all(own.wet_out_s < one.wet_out_s for one in by_rule), "else any rule would have done"
    assert "your own sequence" in {one.name for one in plan.candidates}


def test_the_plan_says_all_that_was_played(panels: Any, layout: dict[str, Any]) -> None:
    """Every candidate once, the chosen one the fastest of those that hold on the full network; or one by sight in place
    of one by the clock, later by no more than a tenth of the time in hand, and the statement says so."""
    plan = panels.plan(**layout)
    names = [one.name for one in plan.candidates]
    assert len(names) == len(set(names))
    holding = [one.wet_out_s for one in plan.candidates if one.admissible and "coarse" not in one.remark]
    if plan.verdict is Verdict.VERIFIED:
        by_clock = "an order that turns taps by the clock is wet" in plan.proof.statement
        allowed_s = 0.1 * (plan.gel_limit_s - min(holding)) if by_clock else 0.0
        assert plan.wet_out_s <= min(holding) + allowed_s + WHOLE_SECOND_S
    assert json.loads(plan.model_dump_json())["case_digest"] == panels.case(**layout).digest
