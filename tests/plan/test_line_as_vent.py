"""A line that is a vent until resin reaches it, and feeds after."""

from __future__ import annotations

from typing import Any

import pytest

from optimiser.case.plan_document import PlanDocument, Verdict
from optimiser.case.planning import check_sequence_of_case, plan_case
from optimiser.case.read_case import Case, case_from_mapping
from optimiser.errors import InputError
from optimiser.run_sheet.rows import every_row, step_groups

VENT = {"name": "V-2", "on_line": "2", "run_mm": [[150, 305]]}


def data(panels: Any) -> dict[str, Any]:
    """Lines every 300 mm from one edge, the only vent along the other, 275 mm beyond line 3."""
    found: dict[str, Any] = panels.data(length_mm=300, cell_mm=50, coarse_cell_mm=50, rounds=1)
    for line, y_mm in zip(found["feed_lines"], (5, 305, 605), strict=True):
        line["sections"][0] |= {"run_mm": [[5, y_mm], [295, y_mm]], "hose_length_mm": 200}
    found["vents"] = [{**found["vents"][0], "name": "V", "run_mm": [[5, 880], [295, 880]]}]
    found["search"]["remedies"] = False
    return found


@pytest.fixture(scope="module")
def case(panels: Any) -> Case:
    """With a second hose on line 2, to a pot of its own."""
    layout = data(panels)
    layout["vents"].append({**layout["vents"][0], **VENT})
    return case_from_mapping(layout)


@pytest.fixture(scope="module")
def plan(case: Case) -> PlanDocument:
    return plan_case(case, workers=1)


def step_of(plan: PlanDocument, action: str, label: str) -> Any:
    (step,) = (one for one in plan.steps if (one.action, one.label) == (action, label))
    return step


def test_both_sides_are_fed_at_once_and_meet_in_the_line(panels: Any, plan: PlanDocument) -> None:
    """Squares of the ways, in 100 mm. Without it only 1, 2, 3 in turn leaves no dead end: 9 + 9 + 7.6. With line 2 as a
    vent 1 and 3 start together, their fronts meet in it after 9, and beyond 3 it takes 7.6: a third of the time."""
    assert plan.verdict is Verdict.VERIFIED
    assert step_of(plan, "open", "1").expected_at_s == 0
    assert step_of(plan, "open", "3").expected_at_s == 0
    turn = plan_case(case_from_mapping(data(panels)), workers=1)
    assert [step.label for step in turn.steps if step.action == "open"] == ["1", "2", "3"]
    assert plan.wet_out_s < 0.5 * turn.wet_out_s


def test_its_vent_is_clamped_when_resin_stands_in_the_line(plan: PlanDocument) -> None:
    """By the line, which the crew sees; the pot gets no more than what runs through the hose until hands are there."""
    clamp = step_of(plan, "clamp", "V-2")
    assert clamp.trigger.says == "when resin stands in line 2 along its whole length"
    pot = next(vent for vent in plan.vents if vent.label == "V-2")
    assert pot.in_catch_pot_litres < 0.5 * pot.catch_pot_litres
    assert "V-2" in {row.label for row in every_row(step_groups(plan)) if row.action == "CLAMP"}


def test_clamped_from_the_start_it_is_a_line_like_any_other(panels: Any, case: Case) -> None:
    """Then what lies between 1 and 3 has no way out, and is locked."""
    steps = [
        *panels.outward(("1", "3"), ("1", "3"))[:2],
        {"action": "clamp", "label": "V-2", "when": {"start": True}},
        {"action": "clamp", "label": "V", "when": {"reached": "V"}},
    ]
    checked = check_sequence_of_case(case, panels.sequence(steps), workers=1)
    assert checked.verdict is Verdict.NOT_ADMISSIBLE
    assert sum(lock.area_cm2 for lock in checked.locked) > 0.5 * 300 * 600 / 100


def test_it_feeds_after_it_has_been_a_vent(panels: Any, case: Case) -> None:
    """From line 1 alone: resin comes to 2, its vent is clamped, its tap opened, and what is beyond is fed by it as by
    any line reached: in 9 + (9 + 7.6 + what 3 saves) and not in the square of all the way."""
    steps = [
        {"action": "open", "label": "1", "when": {"start": True}},
        {"action": "clamp", "label": "V-2", "when": {"reached": "2"}},
        {"action": "open", "label": "2", "when": {"reached": "2"}},
        {"action": "clamp", "label": "V", "when": {"reached": "V"}},
    ]
    fed = check_sequence_of_case(case, panels.sequence(steps), workers=1)
    line = next(line for line in fed.lines if line.label == "2")
    assert fed.verdict is Verdict.VERIFIED
    assert line.drawn_kg > 0.1
    assert step_of(fed, "clamp", "V-2").expected_at_s < step_of(fed, "open", "2").expected_at_s
    shut = check_sequence_of_case(case, panels.sequence([steps[0], steps[1], steps[3]]), workers=1)
    assert fed.wet_out_s < 0.7 * shut.wet_out_s


def test_its_tap_is_not_opened_before_its_vent_is_clamped(panels: Any, case: Case) -> None:
    """Resin would run straight through it into the pot: refused, with the place."""
    steps = [
        {"action": "open", "label": "2", "when": {"start": True}},
        {"action": "clamp", "label": "V-2", "when": {"reached": "2"}},
    ]
    with pytest.raises(InputError, match="the vent on it, 'V-2', clamped in a step listed before"):
        check_sequence_of_case(case, panels.sequence(steps), workers=1)


def test_whatever_calls_for_its_tap_waits_for_the_clamp(panels: Any, case: Case) -> None:
    """By the clock after ten seconds, long before resin is there: the crew opens it with the clamp, and no pot is fed.
    The sheet says what it waits for beside the trigger."""
    steps = [
        {"action": "open", "label": "1", "when": {"start": True}},
        {"action": "clamp", "label": "V-2", "when": {"reached": "2"}},
        {"action": "open", "label": "2", "when": {"clock_s": 10}},
        {"action": "clamp", "label": "V", "when": {"reached": "V"}},
    ]
    early = check_sequence_of_case(case, panels.sequence(steps), workers=1)
    clamp, opened = step_of(early, "clamp", "V-2"), step_of(early, "open", "2")
    assert opened.expected_at_s > clamp.expected_at_s > 60
    assert opened.trigger.says.endswith(", and vent V-2 is clamped")
    pot = next(vent for vent in early.vents if vent.label == "V-2")
    assert pot.in_catch_pot_litres < 0.5 * pot.catch_pot_litres
