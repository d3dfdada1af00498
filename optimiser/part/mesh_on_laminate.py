"""A flow mesh on solid laminate: two layers, joined through the thickness, that fill one after the other."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optimiser.part.laminate import Laminate, Layer, LayerKind
from optimiser.physics.mesh_lead import mesh_lead_m
from optimiser.physics.permeability import stack_through_thickness_m2


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


def through_solid_m2(layers: tuple[Layer, ...]) -> float | None:
    """Permeability through a stack of reinforcements; None where there are others, or it is not known of each."""
    if any(layer.kind is not LayerKind.REINFORCEMENT for layer in layers):
        return None
    known = [layer.permeability_through_m2 for layer in layers if layer.permeability_through_m2 is not None]
    if not layers or len(known) < len(layers):
        return None
    return stack_through_thickness_m2([layer.thickness_m for layer in layers], known)
