"""Flow mesh laid where it does harm, or otherwise than it is calculated."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from scipy.spatial import cKDTree

from optimiser.network.flow_network import FlowNetwork
from optimiser.part.laminate import LayerKind
from optimiser.part.mesh_on_laminate import mesh_on_laminate
from optimiser.part.part import LaminateArea
from optimiser.part.shot import Shot
from optimiser.units import mm_from_m

_ROUND_TO_MM = 5


def mesh_warnings(shot: Shot, network: FlowNetwork) -> list[str]:
    """Resin in a mesh that reaches a vent shuts it while the tool side under the last lead length is still dry."""
    found: list[str] = []
    for index, area in enumerate(shot.part.areas):
        found += _near_vents(area, np.flatnonzero(network.area_of_cell == index), network)
    return [*dict.fromkeys((*_not_on_top(shot), *_over_core(shot))), *found]


def _near_vents(area: LaminateArea, cells: np.ndarray, network: FlowNetwork) -> Iterator[str]:
    two = mesh_on_laminate(area.laminate)
    if two is None or len(cells) == 0:
        return
    place = np.column_stack([network.x_m, network.y_m, network.height_m])
    if network.triangles is None:
        place[:, 2] = 0.0
    mesh = cKDTree(place[cells])
    lead_mm = _ROUND_TO_MM * math.ceil(mm_from_m(two.lead_m) / _ROUND_TO_MM)
    for vent in network.vents:
        between, _ = mesh.query(place[vent.cells])
        gap_m = max(0.0, float(between.min()) - network.cell_size_m)
        if gap_m < two.lead_m:
            yield (
                f"the flow mesh of {area.name} reaches to {mm_from_m(gap_m):.0f} mm from vent {vent.label}, and in it "
                f"resin leads the tool side by up to {lead_mm} mm: stop the mesh {lead_mm} mm short of the vent"
            )


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
