"""Which vents are used, and when each is clamped; a vent clamped too early is shown as what it is."""

from __future__ import annotations

from typing import Any

import pytest

from optimiser.case.plan_document import PlanDocument, Verdict
from optimiser.case.planning import check_sequence_of_case, plan_case
from optimiser.case.read_case import Case, case_from_mapping
from optimiser.run_sheet.rows import every_row, step_groups


@pytest.fixture(scope="module")
def case(panels: Any) -> Case:
    """Lines at 150, 450 and 750 mm, a vent along one edge and two along the other; all may be left out."""
    data = panels.data(length_mm=500, rounds=1, rules={"start": ["2"]})
    data["vents"].append({**data["vents"][0], "name": "V-TWIN", "run_mm": [[20, 30], [480, 30]]})
    for vent in data["vents"]:
        vent["may_stay_clamped"] = True
    return case_from_mapping(data)


@pytest.fixture(scope="module")
def plan(case: Case) -> PlanDocument:
    return plan_case(case, workers=1)


def clamped(plan: PlanDocument) -> dict[str, str]:
    """What calls for each clamp."""
    return {step.label: step.trigger.kind for step in plan.steps if step.action == "clamp"}


def idle(plan: PlanDocument) -> str:
    (label,) = (label for label, kind in clamped(plan).items() if kind == "start")
    return label


def test_of_two_vents_for_one_strip_one_is_left_out(plan: PlanDocument) -> None:
    """10 mm apart they drain the same and are reached together. Without any vent at an edge the strip along it would be
    a dead end, so one is used there, and the only one at the other edge."""
    assert plan.verdict is Verdict.VERIFIED
    assert idle(plan) in ("V-NEAR", "V-TWIN")
    assert sorted(clamped(plan).values()) == ["reached", "reached", "start"]


def test_the_sheet_says_which_vent_is_not_used(plan: PlanDocument) -> None:
    """Among the steps of the start."""
    start = next(group for group in step_groups(plan) if group.call == "START")
    (row,) = (row for row in start.rows if row.action == "CLAMP")
    assert row.label == idle(plan)
    assert row.own_trigger == "At the start: this vent is not used"
    assert {row.label for row in every_row(step_groups(plan)) if row.action == "CLAMP"} == set(clamped(plan))


def test_no_zone_is_said_to_drain_to_a_vent_that_is_not_used(plan: PlanDocument) -> None:
    """Each to one of the edges, in the end."""
    assert {zone.vent for zone in plan.zones} == set(clamped(plan)) - {idle(plan)}


def test_a_used_vent_is_clamped_once_resin_stands_along_it(plan: PlanDocument) -> None:
    """As resin reaches it, with the time of one pair of hands."""
    reached = [step for step in plan.steps if step.action == "clamp" and step.trigger.kind == "reached"]
    for step in reached:
        assert step.trigger.place == step.label
        assert step.trigger.share == 1


def test_a_vent_clamped_too_early_locks_what_it_drained(panels: Any, case: Case) -> None:
    """All clamped by second 30: what is dry then has no way out. The plan shows how much, where and since when;
    clamped as resin reaches them the same order of taps holds."""
    steps = [step for step in panels.outward(("1", "2", "3"), ("2",)) if step["label"] != "V-FAR"]
    early = {"action": "clamp", "label": "V-FAR", "when": {"clock_s": 30}}
    late = {"action": "clamp", "label": "V-FAR", "when": {"reached": "V-FAR"}}
    keep = {"action": "clamp", "label": "V-TWIN", "when": {"start": True}}
    near = {"action": "clamp", "label": "V-NEAR", "when": {"clock_s": 30}}
    held = check_sequence_of_case(case, panels.sequence([*steps, keep, late]), workers=1)
    assert held.verdict is Verdict.VERIFIED
    both = [step for step in steps if step["label"] != "V-NEAR"]
    locked = check_sequence_of_case(case, panels.sequence([*both, keep, near, early]), workers=1)
    assert locked.verdict is Verdict.NOT_ADMISSIBLE
    assert locked.reasons[0].requirement == "no region may be cut off from its vent"
    worst = max(locked.locked, key=lambda lock: lock.area_cm2)
    assert worst.area_cm2 > 0.3 * 500 * 900 / 100
    assert 30 + 15 <= worst.at_s <= 30 + 2 * 15, "by the clock, and the time of one pair of hands for one or both"
