"""Flow mesh laid where it does harm, or otherwise than it is calculated."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

import numpy as np
import shapely
from scipy.spatial import cKDTree

from optimiser.case.run_course import course_of
from optimiser.network.flow_network import FlowNetwork
from optimiser.network.sheet_lattice import outline_shape
from optimiser.part.laminate import LayerKind
from optimiser.part.mesh_on_laminate import mesh_on_laminate
from optimiser.part.part import Part
from optimiser.part.shot import Shot
from optimiser.units import mm_from_m

_ROUND_TO_MM = 5


def mesh_warnings(shot: Shot, network: FlowNetwork) -> list[str]:
    """Resin in a mesh that reaches a vent shuts it while the tool side under the last lead length is still dry."""
    return [*dict.fromkeys((*_not_on_top(shot), *_over_core(shot), *_tight(shot))), *_near_vents(shot, network)]


def _near_vents(shot: Shot, network: FlowNetwork) -> Iterator[str]:
    about = "" if network.triangles is None else "about "
    for index, area in enumerate(shot.part.areas):
        two = mesh_on_laminate(area.laminate)
        if two is None:
            continue
        lead_mm = _ROUND_TO_MM * math.ceil(mm_from_m(two.lead_m) / _ROUND_TO_MM)
        gaps_m = _as_drawn_m(shot.part, index) if network.triangles is None else _on_cells_m(shot.part, network, index)
        for vent, gap_m in zip(shot.part.vents, gaps_m, strict=True):
            if gap_m < two.lead_m:
                yield (
                    f"the flow mesh of {area.name} reaches to {about}{mm_from_m(gap_m):.0f} mm from vent {vent.label}, "
                    f"and in it resin leads the tool side by up to {lead_mm} mm: stop the mesh {lead_mm} mm short of "
                    "the vent"
                )


def _as_drawn_m(part: Part, index: int) -> list[float]:
    """From what later areas leave of an area to each vent."""
    sheet, border_m = outline_shape(part), part.areas[index].border_m
    seen = sheet if border_m is None else shapely.intersection(sheet, shapely.Polygon(border_m))
    for later in part.areas[index + 1 :]:
        seen = shapely.Polygon() if later.border_m is None else seen.difference(shapely.Polygon(later.border_m))
    return [
        math.inf if seen.is_empty else float(shapely.distance(seen, course_of(vent.run_m)))
        for vent in part.vents
    ]


def _on_cells_m(part: Part, network: FlowNetwork, index: int) -> list[float]:
    """From each vent to where the nearest cell with mesh ends: off by up to half a cell."""
    place = np.column_stack([network.x_m, network.y_m, network.height_m])
    cells, half_a_cell_m = np.flatnonzero(network.area_of_cell == index), network.cell_size_m / 2
    if len(cells) == 0:
        return [math.inf] * len(part.vents)
    mesh = cKDTree(place[cells])
    nearest_m = (float(mesh.query(_points_along(vent.run_m, half_a_cell_m))[0].min()) for vent in part.vents)
    return [max(0.0, near_m - half_a_cell_m) for near_m in nearest_m]


def _points_along(run_m: tuple[tuple[float, ...], ...], apart_m: float) -> np.ndarray:
    """(n, 3): corners, and points between them no further apart than this."""
    corners = np.array(run_m)
    points = [corners[:1]]
    for before, after in pairwise(corners):
        count = math.ceil(float(np.linalg.norm(after - before)) / apart_m)
        points.append(before + np.linspace(0, 1, count + 1)[1:, None] * (after - before))
    return np.concatenate(points)


def _not_on_top(shot: Shot) -> Iterator[str]:
    for area in shot.part.areas:
        layers = area.laminate.layers
        if mesh_on_laminate(area.laminate) is not None and layers[-1].kind is not LayerKind.FLOW_MESH:
            yield (
                f"the flow mesh of laminate {area.laminate.name} is calculated as lying on its bag side: the side away "
                "from the mesh trails"
            )


def _over_core(shot: Shot) -> Iterator[str]:
    """Mesh, skins and core fill as one layer in a run."""
    for area in shot.part.areas:
        kinds = {layer.kind for layer in area.laminate.layers}
        if {LayerKind.FLOW_MESH, LayerKind.CORE} <= kinds:
            yield (
                f"the flow mesh of laminate {area.laminate.name} lies over a core: how far the plies on the far side "
                "trail is not calculated; wet mesh is not wet laminate, so be slow to clamp a vent there"
            )


def _tight(shot: Shot) -> Iterator[str]:
    """Mesh that carries resin worse than the plies it is to feed; a power of ten is soon lost."""
    for area in shot.part.areas:
        layers = area.laminate.layers
        plies_m2 = [one.permeability_along_m2 for one in layers if one.kind is LayerKind.REINFORCEMENT]
        for mesh in (one for one in layers if one.kind is LayerKind.FLOW_MESH):
            if mesh.permeability_along_m2 <= max(plies_m2, default=0.0):
                yield (
                    f"the flow mesh {mesh.name} of laminate {area.laminate.name}, {mesh.permeability_along_m2:.3g} m2, "
                    f"lets resin through no better than the plies under it, {max(plies_m2):.3g} m2: is its "
                    "permeability that of a mesh?"
                )
