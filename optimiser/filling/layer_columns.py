"""Layers of one column that may share a pressure once the front has left them behind."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from optimiser.network.flow_network import BoolArray, FlowNetwork, IntArray, Links

_LEVELLED, _FEWEST_LINKS = 3.0, 2
"""So many levelling lengths behind the front, e^-3 of a difference is left; and no fewer links than this."""


@dataclass(frozen=True, kw_only=True)
class LayerColumns:
    top: IntArray
    """For each node the cell of its column; the node itself where it stands alone."""
    links_behind: int
    """How far from the front, and from a line that feeds one of them, the layers of a column come to one pressure."""
    entered: IntArray
    """Cells that a line feeds from above."""

    def settled(self, wet: BoolArray, links: Links) -> BoolArray:
        """Nodes of columns that are wet through and lie so far from the front and from such lines."""
        near = ~wet
        near[self.entered] = True
        for _ in range(self.links_behind):
            wider = near.copy()
            wider[links.end[near[links.start]]] = True
            wider[links.start[near[links.end]]] = True
            near = wider
        unsettled = np.zeros_like(wet)
        unsettled[self.top[near]] = True
        return ~unsettled[self.top]


def columns_of(network: FlowNetwork) -> LayerColumns | None:
    """None where no cell has a node beneath it."""
    if len(network.under_cell) == 0:
        return None
    cell = network.cell_of_node
    links = math.ceil(_LEVELLED * network.levelling_m / network.cell_size_m)
    return LayerColumns(
        top=np.where(cell >= 0, cell, np.arange(network.node_count)),
        links_behind=max(_FEWEST_LINKS, links),
        entered=network.entered,
    )
