"""The wait for the tool side: before the last vent is shut, for nothing draws to it afterwards.

Under mesh and in thick laminate the tool side is wet later than what is seen, so "nothing dry to the eye" is too soon.
What the crew can see is when the bag side of an area is wet all over; no place in it trails by more than the plan says.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from optimiser.case.plan_document import PlanDocument, PlannedStep
from optimiser.case.shown_label import shown_label
from optimiser.case.tool_side_document import ToolSide
from optimiser.run_sheet.ranges import step_range
from optimiser.run_sheet.taps import taps_of
from optimiser.run_sheet.wording import SHORT_BLANK, number
from optimiser.units import min_from_s

_MOST_AREAS = 3


@dataclass(frozen=True, kw_only=True)
class ToolSideWait:
    """One sum, with a box of its own to tick."""

    do: str
    notes: str


def last_clamp(plan: PlanDocument) -> PlannedStep | None:
    """None: a vent stays open, or none is shut because of resin, so that the part draws on after the last step."""
    vents = {tap.label for tap in taps_of(plan) if tap.kind == "vent"}
    clamps = [step for step in plan.steps if step.action == "clamp" and step.trigger.kind != "start"]
    shut = {step.label for step in plan.steps if step.action == "clamp"}
    return max(clamps, key=lambda step: step.order) if clamps and vents <= shut else None


def wait_before(plan: PlanDocument, step: PlannedStep) -> ToolSideWait | None:
    """Above the step that shuts the last vent; None for all others."""
    last = last_clamp(plan)
    if last is None or last.order != step.order:
        return None
    waits = _waits(plan, step_range(plan, step)[0] or step.expected_at_s or 0.0)
    if not waits:
        return None
    clamp = f"CLAMP {shown_label(step.label, step.kind)}"
    spread = plan.permeability_spread_percent
    more = f"; {number(spread)} % more for slow laminate" if spread else ""
    trails = _tenths(max(one.trails_s or 0.0 for one in waits))
    return ToolSideWait(
        do=f"TOOL SIDE FIRST: {_sum(plan, waits)}. BEFORE THAT MINUTE DO NOT {clamp}.",
        notes=f"It is wet up to {trails} min after the bag side{more}. Nothing draws to it once this vent is shut.",
    )


def wait_at_the_end(plan: PlanDocument) -> str:
    """Where a vent stays open the wait is after the last step; empty: what is seen is so, or it was waited for."""
    waits = [] if last_clamp(plan) is not None else _waits(plan, 0.0)
    return f"WAIT for the tool side: {_sum(plan, waits)}" if waits else ""


def _waits(plan: PlanDocument, until_s: float) -> list[ToolSide]:
    """Areas that may not be wet through by then, the longest wait first."""
    late = [one for one in plan.tool_side if one.trails_s and (one.bag_wet_s or 0.0) + _wait_s(plan, one) > until_s]
    return sorted(late, key=lambda one: _wait_s(plan, one), reverse=True)


def _wait_s(plan: PlanDocument, one: ToolSide) -> float:
    return (one.trails_s or 0.0) * (1 + plan.permeability_spread_percent / 100)


def _sum(plan: PlanDocument, waits: list[ToolSide]) -> str:
    areas = [one.area for one in waits[:_MOST_AREAS]] + ["the other areas"] * (len(waits) > _MOST_AREAS)
    named = areas[0] if len(areas) == 1 else f"the last of {', '.join(areas)}"
    waits_min = _tenths(_wait_s(plan, waits[0]))
    return f"bag side of {named} all wet at min {SHORT_BLANK} + {waits_min} = min {SHORT_BLANK}"


def _tenths(time_s: float) -> str:
    """Minutes, rounded up."""
    return f"{math.ceil(round(10 * min_from_s(time_s), 6)) / 10:.1f}"
