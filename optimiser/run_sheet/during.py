"""During the shot: the log."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.wording import is_short, kilograms, minutes

BLANK_LOG_ROWS = 8
LOG_ROWS = 14


@dataclass(frozen=True, kw_only=True)
class LogRow:
    """One line of the log: what is expected, the rest is blank."""

    minute: str
    expected: str


def log_rows(plan: PlanDocument) -> list[LogRow]:
    """Expected kilograms at even minutes up to wet-out, then blank rows."""
    time_s, drawn_kg = plan.consumption.time_s, plan.consumption.drawn_kg
    if not time_s or plan.wet_out_s is None:
        return [LogRow(minute="", expected="")] * LOG_ROWS
    short = is_short(plan.wet_out_s)
    step_s = even_step_s(plan.wet_out_s, LOG_ROWS)
    marks_s = np.arange(1, LOG_ROWS + 1) * step_s
    expected = [
        LogRow(
            minute=minutes(mark_s, short=short),
            expected=kilograms(float(np.interp(mark_s, time_s, drawn_kg))),
        )
        for mark_s in marks_s[marks_s <= plan.wet_out_s]
    ]
    return expected + [LogRow(minute="", expected="")] * BLANK_LOG_ROWS


def even_step_s(span_s: float, most: int) -> float:
    """The smallest handy step, in seconds, that divides the span into at most `most` pieces."""
    for step_min in (0.5, 1, 2, 5, 10, 15, 20, 30, 60):
        if span_s <= step_min * 60 * most:
            return step_min * 60.0
    return 3600.0 * math.ceil(span_s / 3600 / most)
