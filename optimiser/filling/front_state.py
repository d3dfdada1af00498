"""What a step of the front starts from, what drives it, and what it finds."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optimiser.network.flow_network import BoolArray, FloatArray, IntArray, Links


@dataclass(frozen=True, kw_only=True)
class Openings:
    """Which ways into and out of the network are open during a step."""

    tap_open: BoolArray
    vent_open: BoolArray


@dataclass(frozen=True, kw_only=True)
class Drive:
    """What pushes: pressures are above the residual vacuum under the bag."""

    supply_pressure_pa: float
    most_flow_m3_s: float | None
    resin_density_kg_m3: float
    compaction_pa: float | None = None
    """Of the dry sheet, atmosphere less vacuum, where the bag gives; None: rigid."""
    feed_conductance_m3: float | None = None
    """Of the hose from the supply to the manifold, which all taps share; None: nothing is lost on the way there."""
    trapped_air_pa: float | None = None
    """Absolute pressure of air when it is closed in; None: locked regions fill as if they held none."""


@dataclass(frozen=True, kw_only=True)
class FrontState:
    saturation: FloatArray
    """Filled share of each node's dry pore volume; a dry node may hold a fiftieth too much for a step, and a full one
    holds more where the bag gives."""
    wet: BoolArray
    """Full nodes; a node once wet stays wet."""
    stalled: BoolArray | None = None
    """Links over which the front could not climb at the end of the last step; None: it never stood still."""
    pressure_pa: FloatArray | None = None
    """At the end of the last step, where the bag gives."""

    @cached_property
    def filled(self) -> FloatArray:
        """Filled share of each node's pores, all of them where it is wet, however thick it has grown."""
        return np.where(self.wet, 1.0, self.saturation)


@dataclass(frozen=True, kw_only=True)
class Passing:
    """Resin that a step moved: links over which any passed, in their order."""

    giver: IntArray
    """The node that each led from."""
    taker: IntArray
    """The node that each led to."""
    volume_m3: FloatArray


@dataclass(frozen=True, kw_only=True)
class FrontStep:
    """What one step found."""

    state: FrontState
    links: Links
    pressure_time: FloatArray
    """w = integral of p dt / viscosity over the step, dimensionless (Pa s / (Pa s))."""
    link_volume_m3: FloatArray
    """Volume passed along each link from start to end."""
    vent_volume_m3: FloatArray
    """Volume drawn into each vent."""
    injected_m3: float
    flow_capped: bool
    air_rests: BoolArray | None = None
    """Of regions of trapped air, those in which it hardly gives way any more."""

    @cached_property
    def passing(self) -> Passing:
        moved = np.flatnonzero(self.link_volume_m3)
        flux, start, end = self.link_volume_m3[moved], self.links.start[moved], self.links.end[moved]
        forward = flux > 0
        return Passing(
            giver=np.where(forward, start, end),
            taker=np.where(forward, end, start),
            volume_m3=np.abs(flux),
        )
