"""Steps that the shot never comes to are told, for they would stand on the sheet."""

from __future__ import annotations

from pathlib import Path

from optimiser.case.planning import check_sequence_of_case
from optimiser.case.read_case import read_case
from optimiser.case.read_sequence import read_sequence

TINY = Path(__file__).parents[1] / "api" / "tiny_case.yaml"
SEQUENCE = b"""
steps:
  - {action: open, label: '2', when: {start: true}}
  - {action: open, label: '1', when: {clock_s: %d}}
"""


def warnings(clock_s: int) -> list[str]:
    """Of the sequence whose second tap goes by the clock."""
    plan = check_sequence_of_case(read_case(TINY.read_bytes()), read_sequence(SEQUENCE % clock_s))
    assert plan.wet_out_s is not None
    assert (plan.steps[1].expected_at_s is None) == (plan.wet_out_s < clock_s)
    return [warning for warning in plan.warnings if "before its turn" in warning]


def test_a_tap_by_a_clock_that_comes_too_late_is_told() -> None:
    """By its number on the sheet, and by its own words."""
    (warning,) = warnings(60 * 900)
    assert warning.startswith("step 2, open 1 at minute 900 by the clock: all is wet before its turn")


def test_a_tap_that_is_opened_in_time_is_not() -> None:
    """Nothing is said of what happens."""
    assert warnings(60) == []
