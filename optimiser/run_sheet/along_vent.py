"""Which part of a vent the front comes to first and which last, by the map: where the crew looks before a clamp."""

from __future__ import annotations

import math

import numpy as np
from scipy.spatial import cKDTree

from optimiser.case.plan_document import PlanDocument, PlannedStep
from optimiser.run_sheet.map_pen import points_along
from optimiser.units import m_from_mm

_WORTH_A_WORD_S = 30.0
"""Less between first and last is nothing to wait for."""
_MIDDLE = "its middle"
_ENDS = "both ends"


def fills_along(plan: PlanDocument, step: PlannedStep) -> str:
    """'As planned its middle fills first, both ends last.'; empty: not known, or all of it at about one time."""
    trigger = step.trigger
    if step.action != "clamp" or trigger.kind != "reached" or trigger.place != step.label:
        return ""
    run = next((one.run_mm for one in plan.map.runs if one.label == step.label and one.kind == "vent"), [])
    wet_s = np.array([math.inf if time_s is None else time_s for time_s in plan.map.wet_s])
    if len(run) < 2 or not len(wet_s):
        return ""
    points = points_along(run)
    _, nearest = cKDTree(np.column_stack([plan.map.x_mm, plan.map.y_mm])).query(points)
    times_s = wet_s[nearest]
    if not np.isfinite(times_s).all() or np.ptp(times_s) < _WORTH_A_WORD_S:
        return ""
    first, last = _place(points, times_s, int(np.argmin(times_s))), _place(points, -times_s, int(np.argmax(times_s)))
    return "" if first == last else f"As planned {first} fill{'' if first == _ENDS else 's'} first, {last} last."


def _place(points: np.ndarray, times_s: np.ndarray, least: int) -> str:
    """Of the least of these times. Where that is at one end and the other is in the nearer half of the times, both."""
    share = least / (len(points) - 1)
    if 1 / 3 <= share <= 2 / 3:
        return _MIDDLE
    other = times_s[-1 if share < 0.5 else 0]
    middle = times_s[len(points) // 3 : -(len(points) // 3)]
    if other - times_s[least] < 0.5 * np.ptp(times_s) and middle.min() > other:
        return _ENDS
    end, far = (points[0], points[-1]) if share < 0.5 else (points[-1], points[0])
    along = int(np.argmax(np.abs(end - far)))
    return f"its end at {'xy'[along]} {m_from_mm(float(end[along])):.1f} m"
