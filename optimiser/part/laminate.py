"""A stack of layers and what the flow sees of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from optimiser.physics.permeability import in_plane_tensor_m2, stack_transmissibility_m3
from optimiser.physics.resin_volumes import stack_pore_depth_m


class LayerKind(StrEnum):
    REINFORCEMENT = "reinforcement"
    CORE = "core"
    FLOW_MESH = "flow_mesh"


@dataclass(frozen=True, kw_only=True)
class Layer:
    """One layer as it lies compacted under the bag."""

    name: str
    kind: LayerKind
    thickness_m: float
    porosity: float
    """Pore volume over layer volume; grooves, perforations and surface uptake of a core count here."""
    permeability_along_m2: float
    permeability_across_m2: float
    angle_rad: float
    """From the sheet's x axis to the direction 'along', counter-clockwise."""
    fibre_mass_kg_m2: float = 0.0
    """Dry fibre of this layer; zero for core and flow mesh."""
    permeability_through_m2: float | None = None
    """Through the thickness; None: not known."""


@dataclass(frozen=True, kw_only=True)
class Compaction:
    """How far the reinforcement of a laminate gives as resin takes over the pressure of the bag.

    Vf = Vf_dry (pc / pc_dry)^B, never below the least; its layers are told as they lie dry, under the full vacuum.
    """

    stiffening_exponent: float
    """B; 0: it does not give."""
    least_fibre_fraction: float
    """Of the loose fabric."""


@dataclass(frozen=True, kw_only=True)
class Laminate:
    """A named stack. What is told of it whole holds where its layers exchange resin freely through the thickness."""

    name: str
    layers: tuple[Layer, ...]
    compaction: Compaction | None = None
    """None: rigid, its thickness stays."""

    @property
    def plies(self) -> Laminate:
        """Its reinforcement alone: what a bag that gives lets grow."""
        return replace(self, layers=tuple(one for one in self.layers if one.kind is LayerKind.REINFORCEMENT))

    @property
    def fibre_fraction(self) -> float:
        """Of all layers together, by volume; of use for the reinforcement alone."""
        return 1.0 - self.pore_depth_m / self.thickness_m

    @property
    def thickness_m(self) -> float:
        return sum(layer.thickness_m for layer in self.layers)

    @property
    def pore_depth_m(self) -> float:
        """Resin volume per area, m3/m2."""
        return stack_pore_depth_m([(layer.thickness_m, layer.porosity) for layer in self.layers])

    @property
    def fibre_mass_kg_m2(self) -> float:
        return sum(layer.fibre_mass_kg_m2 for layer in self.layers)

    @property
    def transmissibility_m3(self) -> NDArray[np.float64]:
        """In-plane K h of the whole stack, (2, 2): the layers' tensors weighted by thickness and added."""
        return stack_transmissibility_m3(
            [layer.thickness_m for layer in self.layers],
            [
                in_plane_tensor_m2(layer.permeability_along_m2, layer.permeability_across_m2, layer.angle_rad)
                for layer in self.layers
            ],
        )
