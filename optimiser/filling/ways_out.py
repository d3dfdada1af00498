"""Ways by which the air of unfilled nodes gets to an open vent."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_array
from scipy.sparse.csgraph import breadth_first_order

from optimiser.filling.air_pieces import air_rows
from optimiser.network.flow_network import BoolArray, FlowNetwork, IntArray


@dataclass(frozen=True, kw_only=True)
class WaysOut:
    """A shortest way through dry nodes for each node that has one.

    Resin mostly takes nodes through which no other's way leads. While that is so all that are left keep their ways, and
    the network need not be searched again for what has been cut off.
    """

    dry: BoolArray
    """Nodes that were dry when the ways were found."""
    vent_open: BoolArray
    """By vent."""
    drains: BoolArray
    """Of each node: whether it had a way."""
    following: IntArray
    """The node that follows on the way of each; itself where air leaves the network, or where there is no way."""

    @staticmethod
    def found(network: FlowNetwork, dry: BoolArray, vent_open: BoolArray) -> WaysOut:
        """A vent cell, or a hose of a vent, that resin has filled drains no more, clamped or not."""
        count, nodes = network.node_count, np.arange(network.node_count)
        outlets = np.flatnonzero(open_outlets(network, vent_open) & dry)
        to, row_ends = air_rows(network, dry)
        to, row_ends = np.concatenate([to, outlets]), np.append(row_ends, len(to) + len(outlets))
        graph = csr_array((np.ones(len(to)), to, row_ends), shape=(count + 1, count + 1))
        reached, before = breadth_first_order(graph, count)  # from a node outside that is joined to all outlets
        drains = np.zeros(count, dtype=bool)
        drains[reached[1:]] = True
        on_the_way = drains & (before[:count] < count)
        return WaysOut(
            dry=dry, vent_open=vent_open, drains=drains, following=np.where(on_the_way, before[:count], nodes)
        )

    def hold(self, dry: BoolArray, vent_open: BoolArray) -> bool:
        """Whether, of these nodes, those with a way have kept it and the others have none."""
        if (dry & ~self.dry).any() or not np.array_equal(vent_open, self.vent_open):
            return False
        return not (self.drains & dry & ~dry[self.following]).any()


def open_outlets(network: FlowNetwork, vent_open: BoolArray) -> BoolArray:
    """Of each node: whether air leaves the network from it through an open vent while it is dry."""
    out = np.zeros(network.node_count, dtype=bool)
    for vent, is_open in zip(network.vents, vent_open, strict=True):
        out[vent.outlets] |= is_open
    return out
