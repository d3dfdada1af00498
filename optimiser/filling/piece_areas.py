"""Area of pieces of the network in which a cell may have several layers."""

from __future__ import annotations

import numpy as np

from optimiser.network.flow_network import FloatArray, FlowNetwork, IntArray


def unfilled_areas_m2(
    network: FlowNetwork, unfilled: FloatArray, nodes: IntArray, piece: IntArray, count: int
) -> FloatArray:
    """Unfilled area of each of `count` pieces; of a cell's layers the emptiest counts.

    unfilled: share of each node's pores; nodes: those that count; piece: the piece of each node of the network.
    """
    nodes = nodes[nodes < network.sheet_count]
    key = piece[nodes] * network.cell_count + network.cell_of_node[nodes]
    unique, where = np.unique(key, return_inverse=True)
    area_m2 = np.zeros(len(unique))
    np.maximum.at(area_m2, where, (unfilled * network.area_m2)[nodes])
    return np.bincount(unique // network.cell_count, weights=area_m2, minlength=count).astype(np.float64, copy=False)
