"""How near a run of the network comes to locking a region: the margin of the zone graph, with the network's times."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optimiser.filling.fill_run import FillRun
from optimiser.network.flow_network import FlowNetwork, IntArray
from optimiser.network.zone_graph import build_zone_graph
from optimiser.network.zones import Zones
from optimiser.part.sequence import Action


@dataclass(frozen=True, kw_only=True)
class NearLocks:
    """The zones of one network, which of them touch, and the vents on each."""

    network: FlowNetwork
    zone_of_cell: IntArray
    beside: tuple[tuple[int, ...], ...]
    vents: tuple[frozenset[str], ...]

    @staticmethod
    def of(network: FlowNetwork, zones: Zones) -> NearLocks:
        graph = build_zone_graph(network, zones, pressure_pa=1.0, viscosity_pa_s=1.0)
        return NearLocks(
            network=network,
            zone_of_cell=zones.zone_of_cell,
            beside=tuple(tuple(sorted(graph[zone])) for zone in range(zones.count)),
            vents=tuple(frozenset(graph.nodes[zone]["vents"]) for zone in range(zones.count)),
        )

    def margin_s(self, run: FillRun) -> float:
        """How long the way out of a zone without a vent stays open after it is wet, until all its neighbours are,
        of the zone for which that is the shortest; a vent clamped at the start is none.

        Wet-out where every zone has a vent; 0 where not all gets wet.
        """
        idle = {one.step.label for one in run.steps if one.step.action is Action.CLAMP and one.done_s <= 0}
        wet = np.full(len(self.beside), -np.inf)
        np.maximum.at(wet, self.zone_of_cell, self.network.latest(run.arrival_s))
        if not np.isfinite(wet).all():
            return 0.0
        ways = [
            max((wet[other] - wet[zone] for other in beside), default=0.0)
            for zone, (beside, vents) in enumerate(zip(self.beside, self.vents, strict=True))
            if not vents - idle
        ]
        return max(0.0, float(min(ways, default=run.wet_out_s)))
