"""What the layout could do better, in sentences."""

from __future__ import annotations

import math

from optimiser.case.advice_document import LayoutAdvice
from optimiser.case.printed_minutes import minutes_down, minutes_up
from optimiser.network.line_layout import LineLayout
from optimiser.physics.closed_form import run_within_m
from optimiser.plan.result import IdlePart, LayoutFindings, WideBay
from optimiser.units import mm_from_m

_ROUND_TO_MM = 10
_NEARER = 0.95
"""Hoses and lines fill too, and their time does not go with the square of the run."""


def layout_advice(found: LayoutFindings | None, layouts: tuple[LineLayout, ...]) -> list[LayoutAdvice]:
    """The widest bay against its clock first; empty where there is nothing to say."""
    if found is None:
        return []
    runs_m = {(one.label, side.side): side.run_m for one in layouts for side in one.sides}
    wide = sorted(found.wide, key=lambda bay: -_wet_s(bay))
    return [
        *(_of_bay(bay, runs_m[bay.label, bay.side]) for bay in wide if (bay.label, bay.side) in runs_m),
        *(_of_idle(one) for one in found.idle),
    ]


def _wet_s(bay: WideBay) -> float:
    """What is too late: together if that is, else from one side."""
    return bay.together_s if bay.together_s > bay.limit_s or bay.alone_s is None else bay.alone_s


def _of_bay(bay: WideBay, run_m: float) -> LayoutAdvice:
    """Of a run that never ends nothing is said of the distance that would do."""
    wet_s, run_mm = _wet_s(bay), mm_from_m(run_m)
    hopeless = bay.together_s > bay.limit_s
    finite = math.isfinite(wet_s)
    clock_m = run_within_m(run_m=_NEARER * run_m, run_time_s=wet_s, within_s=max(bay.limit_s, 0.0))
    most_mm = _ROUND_TO_MM * math.floor(mm_from_m(clock_m) / _ROUND_TO_MM)
    between = f"lines {bay.label} and {bay.other}" if bay.other else f"line {bay.label} and the edge of the part"
    minute = f"wet at minute {minutes_up(wet_s)}" if finite else "never wet"
    how = (
        f"even with all taps open from the first moment the last place between them is {minute}"
        if hopeless
        else f"from one side alone the last place between them is {minute}, and fed from both sides at once it locks "
        "air unless a vent lies there"
    )
    would = f"; the clock allows about {most_mm:.0f} mm" if finite else ""
    return LayoutAdvice(
        kind="too_far_apart" if hopeless else "too_wide_from_one_side",
        labels=[bay.label, *([bay.other] if bay.other else [])],
        run_mm=run_mm,
        most_run_mm=most_mm if finite else None,
        wet_s=wet_s if finite else None,
        says=f"{between} lie {run_mm:.0f} mm apart, further than the gel clock allows: {how}, limit minute "
        f"{minutes_down(bay.limit_s)}{would}",
    )


def _of_idle(one: IdlePart) -> LayoutAdvice:
    later = f"{one.later_s:.0f} s later" if one.later_s >= 1 else "no later"
    if one.vent:
        says = (
            f"vent {one.label} does nothing in this plan: without it nothing locks and all is wet {later}. "
            "Keep it where it stands guard against a day that goes otherwise"
        )
    elif one.opened:
        says = f"line {one.label} adds nothing to this plan: without it nothing locks and all is wet {later}"
    else:
        says = f"line {one.label} adds nothing to this plan: it stays shut"
    if one.not_with:
        says += f"; not without {' and '.join(one.not_with)} too: one can stand in for another"
    return LayoutAdvice(
        kind="vent_does_nothing" if one.vent else "line_adds_nothing",
        labels=[one.label],
        run_mm=None,
        most_run_mm=None,
        wet_s=None,
        says=says,
    )


def advice_lines(advice: list[LayoutAdvice]) -> list[str]:
    """For the shell."""
    return [f"Layout: {one.says}." for one in advice]
