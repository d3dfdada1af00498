"""Marks on the bag for taps that open while part of their line is dry."""

from __future__ import annotations

import math

from optimiser.case.plan_document import PlanDocument, PlannedStep
from optimiser.case.shown_label import shown_label
from optimiser.run_sheet.check import Check
from optimiser.units import m_from_mm

_CM_IN_M = 100


def part_way_steps(plan: PlanDocument) -> list[PlannedStep]:
    """Taps that do not wait for all of a line."""
    return [step for step in plan.steps if step.action == "open" and (step.trigger.share or 1.0) < 1.0]


def pen_marks(plan: PlanDocument) -> list[Check]:
    """A tick for the marks, with each line's length and how much of it may be pale; none where every tap waits."""
    length_m = {run.label: m_from_mm(sum(map(math.dist, run.run_mm, run.run_mm[1:]))) for run in plan.map.runs}
    said = [
        f"{shown_label(place, 'line')} {length_m[place]:.2f} m: pale at most "
        f"{math.floor(_CM_IN_M * length_m[place] * (1 - (step.trigger.share or 1.0)) + 1e-6)} cm"
        for step in part_way_steps(plan)
        if (place := step.trigger.place) in length_m and place is not None
    ]
    if not said:
        return []
    what = "PEN MARKS on the bag, every tenth of the length, along each of these lines"
    return [Check(what=what, planned=" · ".join(dict.fromkeys(said)), blank="")]
