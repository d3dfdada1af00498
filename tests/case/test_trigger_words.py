"""The trigger of a step in words: what was played, and never earlier."""

from __future__ import annotations

from pathlib import Path

import pytest

from optimiser.case.plan_document import PlanDocument
from optimiser.case.planning import check_sequence_of_case
from optimiser.case.read_case import read_case
from optimiser.case.read_sequence import read_sequence
from optimiser.case.trigger_words import weight_to_wait_for
from optimiser.comparison.compare import compare_plans
from optimiser.run_sheet.rows import ALL_ABOVE_ON_TIME, step_groups

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
    ("clock_s", "said", "blank"),
    [
        (300, "at minute 5 by the clock", "____:____"),
        (269, "at 4 min 29 s by the clock", "____:____:____"),
        (150.4, "at 2 min 31 s by the clock", "____:____:____"),
        (359.5, "at minute 6 by the clock", "____:____"),
    ],
)
def test_a_clock_is_printed_as_it_was_played(clock_s: float, said: str, blank: str) -> None:
    """Whole minutes as minutes, all else to the second, rounded up; and room for the time of day."""
    plan = checked(clock_s)
    assert plan.steps[1].trigger.says == said
    assert step_groups(plan)[1].says == f"{said.capitalize()} (TODAY {blank})"


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


BY_SIGHT = """
steps:
  - {action: open, label: '1', when: {start: true}}
  - {action: open, label: '2', when: {reached: '2', delay_s: %s}}
"""


@pytest.mark.parametrize(("delay_s", "backup"), [(500, "or after 0.5 kg"), (1000, "or after 0.52 kg")])
def test_no_weight_is_waited_for_that_is_never_drawn(delay_s: float, backup: str) -> None:
    """Up to a tenth, near the end a hundredth; what is drawn when all is wet is 0.552 kg, so never 0.6 kg."""
    plan = check_sequence_of_case(read_case(TINY.read_bytes()), read_sequence((BY_SIGHT % delay_s).encode()))
    step = plan.steps[1]
    assert step.expected_at_s is not None, "called for before all is wet"
    assert step.trigger.backup == backup
    kg = float(backup.split()[2])
    assert (step.drawn_kg or 0.0) - 0.02 < kg <= plan.consumption.drawn_kg[-1]
    assert step_groups(plan)[1].backup == f"After {kg:g} kg in{ALL_ABOVE_ON_TIME}"


@pytest.mark.parametrize(
    ("drawn_kg", "in_the_end_kg", "weight"),
    [
        (3.21, 9.0, "3.3 kg"),
        (3.2, 9.0, "3.2 kg"),
        (3.21, 3.24, "3.21 kg"),
        (3.211, 3.22, "3.22 kg"),
        (3.211, 3.215, None),
    ],
)
def test_a_weight_is_late_but_within_what_is_drawn(drawn_kg: float, in_the_end_kg: float, weight: str | None) -> None:
    """Rounded up to a tenth, to a hundredth where that is past the end, and none where both are."""
    assert weight_to_wait_for(drawn_kg, in_the_end_kg) == weight
