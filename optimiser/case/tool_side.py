"""By how much the tool side trails what the crew sees, as the plan says it."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from optimiser.case.plan_document import PlanDocument
from optimiser.case.tool_side_document import ToolSide
from optimiser.filling.fill_run import FillRun
from optimiser.network.flow_network import FlowNetwork, IntArray
from optimiser.part.mesh_on_laminate import has_tool_side, mesh_on_laminate
from optimiser.part.shot import Shot
from optimiser.units import min_from_s, mm_from_m

_MOST_AREAS = 6
ON_TOOL_SIDE = "on the tool side"


def tool_sides(shot: Shot, network: FlowNetwork, run: FillRun) -> list[ToolSide]:
    """One for each area of solid laminate with flow mesh, or so thick that its tool side trails without."""
    return list(_tool_sides(shot, network, run))


def _tool_sides(shot: Shot, network: FlowNetwork, run: FillRun) -> Iterator[ToolSide]:
    bag_s, wet_s = run.arrival_s[: network.cell_count], network.latest(run.arrival_s)
    for index, area in enumerate(shot.part.areas):
        cells = np.flatnonzero(network.area_of_cell == index)
        if not has_tool_side(area.laminate) or len(cells) == 0:
            continue
        two = mesh_on_laminate(area.laminate)
        wet = bool(np.isfinite(wet_s[cells]).all())
        yield ToolSide(
            area=area.name,
            laminate=area.laminate.name,
            bag_wet_s=float(bag_s[cells].max()) if np.isfinite(bag_s[cells]).all() else None,
            wet_s=float(wet_s[cells].max()) if wet else None,
            trails_s=trails_s(shot, network, run, cells),
            lead_mm=None if two is None else round(mm_from_m(two.lead_m), 1),
        )


def trails_s(shot: Shot, network: FlowNetwork, run: FillRun, cells: IntArray) -> float | None:
    """Longest that one of these cells of one area is wet to the tool side after its bag side is; None: one is never
    wet, or nothing trails there.
    """
    if len(cells) == 0 or not has_tool_side(shot.part.areas[network.area_of_cell[cells[0]]].laminate):
        return None
    wet_s = network.latest(run.arrival_s)[cells]
    return float((wet_s - run.arrival_s[cells]).max()) if np.isfinite(wet_s).all() else None


def tool_side_lines(plan: PlanDocument) -> list[str]:
    """One sentence on all areas, the worst first, in minutes rounded up; none where nothing trails."""
    if not plan.tool_side:
        return []
    ranked = sorted(plan.tool_side, key=lambda one: math.inf if one.trails_s is None else one.trails_s, reverse=True)
    if ranked[0].trails_s is None:
        return [f"The tool side is never all wet at {ranked[0].area}."]
    said = ", ".join(f"{one.area} {_tenths(one.trails_s)} min" for one in ranked[:_MOST_AREAS])
    more = f" and less at {len(ranked) - _MOST_AREAS} more areas" if len(ranked) > _MOST_AREAS else ""
    return [
        f"The tool side is wet later than the bag side, by up to: {said}{more}. Steps go by what is "
        "seen; ALL WET waits for what is not, and the wet-out time counts it."
    ]


def _tenths(trails_s: float | None) -> str:
    """Rounded up to tenths of a minute."""
    return f"{math.ceil(10 * min_from_s(trails_s or 0.0) - 1e-9) / 10:.1f}"
