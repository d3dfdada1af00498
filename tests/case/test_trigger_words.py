"""The trigger of a step in words: what was played, and never earlier."""

from __future__ import annotations

from pathlib import Path

import pytest

from optimiser.case.plan_document import PlanDocument
from optimiser.case.planning import check_sequence_of_case
from optimiser.case.read_case import read_case
from optimiser.case.read_sequence import read_sequence
from optimiser.comparison.compare import compare_plans
from optimiser.run_sheet.rows import step_groups

TINY = Path(__file__).parents[1] / "api" / "tiny_case.yaml"
SEQUENCE = """
steps:
  - {action: open, label: '1', when: {start: true}}
  - {action: open, label: '2', when: {clock_s: %s}}
"""


AT_TWO_PLACES = b"""
crew:
  hands: 1
  seconds_per_action: 15
  manifolds: [{name: AFT, labels: ['1']}, {name: FWD, labels: ['2', V1]}]
  walks: [{between: [AFT, FWD], walk_s: 80}]
"""


def checked(clock_s: float, crew: bytes = b"", steps: str = "") -> PlanDocument:
    case = read_case(TINY.read_bytes() + crew)
    return check_sequence_of_case(case, read_sequence((SEQUENCE % clock_s + steps).encode()))


@pytest.mark.parametrize(
    ("clock_s", "said"),
    [
        (300, "at minute 5 by the clock"),
        (269, "at 4 min 29 s by the clock"),
        (150.4, "at 2 min 31 s by the clock"),
        (359.5, "at minute 6 by the clock"),
    ],
)
def test_a_clock_is_printed_as_it_was_played(clock_s: float, said: str) -> None:
    """Whole minutes as minutes, all else to the second, rounded up: 60 s to the minute."""
    plan = checked(clock_s)
    assert plan.steps[1].trigger.says == said
    assert step_groups(plan)[1].says == said.capitalize()


def test_a_comparison_tells_two_clocks_of_one_minute_apart() -> None:
    """Both are in minute 4."""
    (step,) = compare_plans(checked(250), checked(269)).steps
    assert step.a is not None
    assert step.b is not None
    assert (step.a.trigger, step.b.trigger) == ("at 4 min 10 s by the clock", "at 4 min 29 s by the clock")


def test_who_is_called_by_the_clock_sets_out_then() -> None:
    """Called at minute 2 the person walks 80 s and turns for 15 s: 215 s. Whoever is still away goes from there."""
    close = "  - {action: close, label: '1', when: {clock_s: 130}}"
    _, there, back = checked(120, AT_TWO_PLACES, close).steps
    assert there.expected_at_s == pytest.approx(215.0)
    way = "go from AFT to FWD, 1 min 20 s, and turn it there"
    assert there.trigger.says == f"at minute 2 by the clock, {way}"
    assert back.trigger.says == (
        "at 2 min 10 s by the clock, as soon as the step before is done "
        "go from FWD to AFT, 1 min 20 s, and turn it there"
    )
    assert "go from" not in checked(120).steps[1].trigger.says
