"""From a core or a flow mesh of a document to a layer in SI."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from optimiser.case.laminate_document import CoreDocument, FlowMeshDocument, GrooveDocument
from optimiser.part.laminate import Layer, LayerKind
from optimiser.physics.permeability import in_plane_tensor_m2
from optimiser.physics.pipe_flow import groove_transmissibility_m3
from optimiser.physics.resin_volumes import groove_pore_depth_m, hole_pore_depth_m
from optimiser.units import fraction_from_percent, kg_m2_from_g_m2, m_from_mm


def core_layer(name: str, core: CoreDocument, *, resin_density_kg_m3: float) -> Layer:
    """The core with its grooves spread evenly over its area and thickness.

    Several sets of grooves make one tensor; its main directions become those of the layer. Leakage through
    the groove walls and grooves pinched shut are left out, so the permeability is an upper bound.
    """
    thickness_m = m_from_mm(core.thickness_mm)
    transmissibility_m3: NDArray[np.float64] = sum(
        (_groove_transmissibility_m3(groove) for groove in core.grooves), start=np.zeros((2, 2))
    )
    (across_m3, along_m3), directions = np.linalg.eigh(transmissibility_m3)
    return Layer(
        name=name,
        kind=LayerKind.CORE,
        thickness_m=thickness_m,
        porosity=core_pore_depth_m(core, resin_density_kg_m3=resin_density_kg_m3) / thickness_m,
        permeability_along_m2=max(float(along_m3), 0.0) / thickness_m,
        permeability_across_m2=max(float(across_m3), 0.0) / thickness_m,
        angle_rad=math.atan2(directions[1, 1], directions[0, 1]),
    )


def core_pore_depth_m(core: CoreDocument, *, resin_density_kg_m3: float) -> float:
    """Resin volume per area of a core, m3/m2: grooves, holes and what the faces take up.

    Where grooves cross, the crossing is counted twice: a little more resin is bought than needed.
    """
    depth_m = kg_m2_from_g_m2(core.surface_uptake_g_m2) / resin_density_kg_m3
    for groove in core.grooves:
        width_m, deep_m, pitch_m = map(m_from_mm, (groove.width_mm, groove.depth_mm, groove.pitch_mm))
        depth_m += groove_pore_depth_m(width_m=width_m, depth_m=deep_m, pitch_m=pitch_m)
    if core.perforations:
        across_m, pitch_m = map(m_from_mm, (core.perforations.diameter_mm, core.perforations.pitch_mm))
        depth_m += hole_pore_depth_m(diameter_m=across_m, pitch_m=pitch_m, depth_m=m_from_mm(core.thickness_mm))
    return depth_m


def flow_mesh_layer(name: str, mesh: FlowMeshDocument) -> Layer:
    return Layer(
        name=name,
        kind=LayerKind.FLOW_MESH,
        thickness_m=m_from_mm(mesh.thickness_mm),
        porosity=fraction_from_percent(mesh.porosity_percent),
        permeability_along_m2=mesh.permeability_m2,
        permeability_across_m2=mesh.permeability_m2,
        angle_rad=0.0,
    )


def _groove_transmissibility_m3(groove: GrooveDocument) -> NDArray[np.float64]:
    """What the set adds to K h of the stack, along the grooves only."""
    along_m3 = groove_transmissibility_m3(
        width_m=m_from_mm(groove.width_mm), depth_m=m_from_mm(groove.depth_mm), pitch_m=m_from_mm(groove.pitch_mm)
    )
    return in_plane_tensor_m2(along_m3, 0.0, math.radians(groove.angle_deg))
