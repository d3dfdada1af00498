"""Laminate whose tool side trails what is seen: under a flow mesh, or because it is thick."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optimiser.part.laminate import Laminate, Layer, LayerKind
from optimiser.physics.mesh_lead import mesh_lead_m
from optimiser.physics.permeability import stack_through_thickness_m2, stretched_depth_m

_SEEN_AS_ONE_M = 0.05


@dataclass(frozen=True, kw_only=True)
class MeshOnLaminate:
    mesh: Laminate
    """The flow mesh alone: resin leads in it."""
    solid: Laminate
    """All other layers: resin soaks into them and trails."""
    permeability_through_m2: float
    """Of the solid layers, one behind another."""

    @property
    def lead_m(self) -> float:
        """Upper bound of the lead, in the direction in which the mesh carries most."""
        carried_m3 = float(np.linalg.eigvalsh(self.mesh.transmissibility_m3).max())
        return mesh_lead_m(
            mesh_thickness_m=self.mesh.thickness_m,
            mesh_permeability_m2=carried_m3 / self.mesh.thickness_m,
            mesh_porosity=self.mesh.pore_depth_m / self.mesh.thickness_m,
            laminate_thickness_m=self.solid.thickness_m,
            through_permeability_m2=self.permeability_through_m2,
            laminate_porosity=self.solid.pore_depth_m / self.solid.thickness_m,
        )


def mesh_on_laminate(laminate: Laminate) -> MeshOnLaminate | None:
    """The two layers of a laminate that has flow mesh and no core; None: its layers exchange resin freely.

    The holes and cuts of a core join both its skins, so a laminate with a core stays one. A laminate of which a
    reinforcement's permeability through the thickness is not known stays one too. Mesh that lies beneath or between
    the plies counts as lying on top of them all: resin then soaks a longer way, which is the slow side.
    """
    mesh = tuple(layer for layer in laminate.layers if layer.kind is LayerKind.FLOW_MESH)
    solid = tuple(layer for layer in laminate.layers if layer.kind is not LayerKind.FLOW_MESH)
    through_m2 = through_solid_m2(solid)
    if not mesh or through_m2 is None:
        return None
    return MeshOnLaminate(
        mesh=Laminate(name=laminate.name, layers=mesh),
        solid=Laminate(name=laminate.name, layers=solid, compaction=laminate.compaction),
        permeability_through_m2=through_m2,
    )


def has_tool_side(laminate: Laminate) -> bool:
    """Whether what the crew sees of it leads what lies beneath by more than a run on one layer may leave out.

    Under flow mesh always. Under bare plies resin has to come through them from a line, and the front stands upright
    only after `stretched_depth_m`: from one bay of 0.6 m, fed from a line on one face, the last place is wet 7, 17 and
    48 % later where that is 0.03, 0.05 and 0.1 m (solved in the plane of length and depth).
    """
    through_m2 = through_solid_m2(laminate.layers)
    if through_m2 is None:
        return mesh_on_laminate(laminate) is not None
    depth_m = stretched_depth_m(
        thickness_m=laminate.thickness_m,
        along_m2=float(np.linalg.eigvalsh(laminate.transmissibility_m3).max()) / laminate.thickness_m,
        through_m2=through_m2,
    )
    return depth_m > _SEEN_AS_ONE_M


def through_solid_m2(layers: tuple[Layer, ...]) -> float | None:
    """Permeability through a stack of reinforcements; None where there are others, or it is not known of each."""
    if any(layer.kind is not LayerKind.REINFORCEMENT for layer in layers):
        return None
    known = [layer.permeability_through_m2 for layer in layers if layer.permeability_through_m2 is not None]
    if not layers or len(known) < len(layers):
        return None
    return stack_through_thickness_m2([layer.thickness_m for layer in layers], known)
