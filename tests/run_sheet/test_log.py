"""The log: what is expected at which minute, until the slowest run of the spread is done."""

from __future__ import annotations

from typing import Any

import pytest

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.during import BLANK_LOG_ROWS, LOG_ROWS, latest_s, log_rows


def test_rows_reach_the_latest_minute_of_the_last_step(plan: PlanDocument) -> None:
    """Fewer rows would end while a late shot still runs."""
    last_s = max(step.latest_s or 0.0 for step in plan.steps)
    assert latest_s(plan) == max(last_s, plan.spread_wet_out_s[1] or 0.0)
    filled = [float(row.minute) for row in log_rows(plan) if row.minute]
    assert filled[-1] * 60 >= last_s
    assert filled[-2] * 60 < last_s
    assert filled[0] == 0, "what the scale reads then"
    assert len(filled) <= LOG_ROWS + 1


def test_low_and_high_are_the_slow_and_the_fast_run(fields: dict[str, Any]) -> None:
    """All times stretched by one factor: what is in at a minute is what was in at that minute over the factor.

    The curve is a straight 0.1 kg/s, so the figures are known by hand: at minute 10, 60 kg, and 48 to 75 kg.
    """
    for step in fields["steps"]:
        at_s = step["expected_at_s"]
        step.update(earliest_s=0.8 * at_s, latest_s=1.25 * at_s)
    fields.update(wet_out_s=2_880.0, spread_wet_out_s=(0.8 * 2_880, 1.25 * 2_880))
    times = fields["consumption"]["time_s"]
    fields["consumption"]["drawn_kg"] = [0.1 * t for t in times]
    rows = {row.minute: row.expected for row in log_rows(PlanDocument.model_validate(fields))}
    assert rows["10"] == "60.0 kg (48.0–75.0)"


def test_without_a_spread_the_expected_kilograms_stand_alone(fields: dict[str, Any]) -> None:
    """Nothing is made up: no low and no high where the plan has none."""
    fields["spread_wet_out_s"] = (None, None)
    filled = [row.expected for row in log_rows(PlanDocument.model_validate(fields)) if row.minute]
    assert filled
    assert not any("(" in text for text in filled)


def test_a_plan_that_never_gets_wet_has_blank_rows(failing_plan: PlanDocument) -> None:
    """As many as there would be."""
    rows = log_rows(failing_plan)
    assert len(rows) == LOG_ROWS + BLANK_LOG_ROWS
    assert {(row.minute, row.expected) for row in rows} == {("", "")}


@pytest.mark.parametrize("missing", ["earliest_s", "latest_s"])
def test_steps_without_a_range_are_passed_over(fields: dict[str, Any], missing: str) -> None:
    """The wet-out alone still paces the run."""
    for step in fields["steps"]:
        step[missing] = None
    assert any("(" in row.expected for row in log_rows(PlanDocument.model_validate(fields)))
