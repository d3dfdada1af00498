"""What a sheet that gives holds and lets through at the pressures of its resin."""

from __future__ import annotations

from typing import TypedDict

import numpy as np

from optimiser.network.flow_network import FloatArray, FlowNetwork, IntArray
from optimiser.physics import giving_bed


class _Bed(TypedDict):
    dry_pa: float
    dry_fraction: FloatArray
    exponent: FloatArray
    least_fraction: FloatArray


class GivingSheet:
    """Volumes and conductances of a network whose bag gives, about pressures that are guessed and then corrected.

    Room grows with pressure, so it is taken straight about the guess: that a step stores what it took in, to the last
    digit, does not hang on the guess, and what the straight line is off is made good in the next step.
    """

    def __init__(self, network: FlowNetwork, dry_pa: float) -> None:
        """dry_pa: compaction of the dry sheet, atmosphere less vacuum. The network must give."""
        give = network.give
        if give is None:
            raise ValueError("the network is rigid")
        self._count, self._link_count = network.node_count, len(network.links)
        self._nodes = np.flatnonzero((give.pore_share > 0) & (give.exponent > 0))
        self._links = np.flatnonzero(give.link_share > 0)
        start, end = network.links.start[self._links], network.links.end[self._links]
        on_sheet = start < network.sheet_count, end < network.sheet_count
        self._ends = start, end
        self._bed_of_ends = np.where(on_sheet[0], start, end), np.where(on_sheet[1], end, start)
        self._share = give.link_share[self._links]
        self._room_m3 = (network.volume_m3 * give.pore_share)[self._nodes]
        self._dry_pa = dry_pa
        self._dry, self._exponent, self._least = give.dry_fraction, give.exponent, give.least_fraction

    def conductance_ratio(self, pressure_pa: FloatArray) -> FloatArray:
        """(links,): conductance over that of the dry sheet, meant over the pressures between the two ends."""
        one_pa, other_pa = (pressure_pa[ends] for ends in self._ends)
        means = [giving_bed.mean_mobility_ratio(one_pa, other_pa, **self._bed(nodes)) for nodes in self._bed_of_ends]
        ratio = np.ones(self._link_count)
        ratio[self._links] += self._share * (0.5 * (means[0] + means[1]) - 1.0)
        return ratio

    def room_m3(self, pressure_pa: FloatArray) -> tuple[FloatArray, FloatArray]:
        """(nodes,), m3 and m3/Pa: what a full node holds beyond its dry volume at no pressure, and by the pascal.

        That of the straight line that touches the law at the guessed pressures.
        """
        p_pa, bed = pressure_pa[self._nodes], self._bed(self._nodes)
        by_pa = self._room_m3 * giving_bed.pore_ratio_slope_1_pa(p_pa, **bed)
        beyond, slope = np.zeros(self._count), np.zeros(self._count)
        beyond[self._nodes] = self._room_m3 * (giving_bed.pore_ratio(p_pa, **bed) - 1.0) - by_pa * p_pa
        slope[self._nodes] = by_pa
        return beyond, slope

    def _bed(self, nodes: IntArray) -> _Bed:
        return _Bed(
            dry_pa=self._dry_pa,
            dry_fraction=self._dry[nodes],
            exponent=self._exponent[nodes],
            least_fraction=self._least[nodes],
        )
