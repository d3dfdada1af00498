"""During the shot: the log."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.ranges import step_range, wet_out_range
from optimiser.run_sheet.supply import SupplyIs, is_bled, supply_is
from optimiser.run_sheet.wording import is_short, kilograms, minutes

BLANK_LOG_ROWS = 6
LOG_ROWS = 14


@dataclass(frozen=True, kw_only=True)
class LogRow:
    """One line of the log: what is expected, the rest is blank."""

    minute: str
    expected: str


def log_blanks(plan: PlanDocument) -> tuple[str, ...]:
    """Heads of the columns to write in. Off a scale what has gone in is a sum; a machine counts it."""
    machine = supply_is(plan) is SupplyIs.MACHINE
    drawn = ("Counter, kg" if machine else "Kg drawn",) if is_bled(plan) else ()
    bled = ("Bled, kg",) if is_bled(plan) else ()
    return (*(() if machine else ("Poured in, kg", "Scale, kg")), *drawn, *bled, "Kg in", "What happened")


def log_rows(plan: PlanDocument) -> list[LogRow]:
    """Expected kilograms at even minutes until the slow end of the spread, then blank rows."""
    last_s = latest_s(plan)
    if not plan.consumption.time_s or last_s is None or last_s <= 0:
        return [LogRow(minute="", expected="")] * (LOG_ROWS + BLANK_LOG_ROWS)
    short = is_short(plan.wet_out_s)
    step_s = even_step_s(last_s, LOG_ROWS)
    marks_s = [step_s * i for i in range(1, math.ceil(last_s / step_s) + 1)]
    expected = [LogRow(minute=minutes(mark_s, short=short), expected=_expected(plan, mark_s)) for mark_s in marks_s]
    zero = [] if supply_is(plan) is SupplyIs.MACHINE else [LogRow(minute="0", expected="the reading at zero")]
    return zero + expected + [LogRow(minute="", expected="")] * BLANK_LOG_ROWS


def latest_s(plan: PlanDocument) -> float | None:
    """When the last step or the wet-out comes at the slow end of the range; None where nothing is timed."""
    times = [time_s for step in plan.steps for time_s in (step.expected_at_s, step_range(plan, step)[1])]
    known = [time_s for time_s in (*times, plan.wet_out_s, *wet_out_range(plan)) if time_s is not None]
    return max(known) if known and plan.wet_out_s is not None else None


def _expected(plan: PlanDocument, at_s: float) -> str:
    """'112 kg (95–130)', low to high; the figure alone where the plan states no spread."""
    middle = kilograms(_drawn_kg(plan, at_s))
    fast_s, slow_s = wet_out_range(plan)
    if fast_s is None or slow_s is None:
        return middle
    ranges = [step_range(plan, step) for step in plan.steps]
    slow = _pace(plan, [latest_s for _, latest_s in ranges], max(fast_s, slow_s))
    fast = _pace(plan, [earliest_s for earliest_s, _ in ranges], min(fast_s, slow_s))
    low = slow[0], np.minimum.accumulate(slow[1][::-1])[::-1].tolist()
    high = fast[0], np.maximum.accumulate(fast[1]).tolist()
    figures = [kilograms(_drawn_kg(plan, float(np.interp(at_s, *pace)))).removesuffix(" kg") for pace in (low, high)]
    return middle if figures[0] == figures[1] else f"{middle} ({figures[0]}–{figures[1]})"


def _drawn_kg(plan: PlanDocument, at_s: float) -> float:
    return float(np.interp(at_s, plan.consumption.time_s, plan.consumption.drawn_kg))


def _pace(plan: PlanDocument, steps_s: list[float | None], wet_s: float) -> tuple[list[float], list[float]]:
    """Times in the slow or the fast run, and the expected times at which the resin stands equally far.

    Steps are called by where the resin stands, so up to the same step each run has drawn about the same. Steps that
    change places in that run leave the expected times out of order.
    """
    pairs = [*zip(steps_s, (step.expected_at_s for step in plan.steps), strict=True), (wet_s, plan.wet_out_s)]
    known = sorted((run, own) for run, own in pairs if run is not None and own is not None)
    runs, own = zip((0.0, 0.0), *known, strict=True)
    return list(runs), list(own)


def even_step_s(span_s: float, most: int) -> float:
    """The smallest handy step, in seconds, that divides the span into at most `most` pieces."""
    for step_min in (0.5, 1, 2, 5, 10, 15, 20, 30, 60):
        if span_s <= step_min * 60 * most:
            return step_min * 60.0
    return 3600.0 * math.ceil(span_s / 3600 / most)
