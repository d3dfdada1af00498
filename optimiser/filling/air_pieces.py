"""Pieces of unfilled network in which air is joined, and their area."""

from __future__ import annotations

import numpy as np
from scipy.sparse import csr_array
from scipy.sparse.csgraph import connected_components

from optimiser.network.flow_network import BoolArray, FloatArray, FlowNetwork, IntArray


def air_passes(network: FlowNetwork, dry: BoolArray) -> BoolArray:
    """Of each link: whether air passes. Both ends are dry, along empty feed lines too; a shut tap passes nothing."""
    passes = dry[network.links.start] & dry[network.links.end]
    passes[network.tap_links] = False
    return passes


def pieces_of(network: FlowNetwork, dry: BoolArray) -> tuple[int, IntArray]:
    """Number of pieces in which air is joined through these nodes, and the piece of each; all others are their own."""
    to, row_ends = air_rows(network, dry)
    graph = csr_array((np.ones(len(to)), to, row_ends), shape=(network.node_count,) * 2)
    count, piece = connected_components(graph, directed=False)
    return int(count), np.asarray(piece, dtype=np.int64)


def air_rows(network: FlowNetwork, dry: BoolArray) -> tuple[IntArray, IntArray]:
    """For each node those to which air passes, and the ends of these rows: of a graph with every link both ways."""
    rows = network.air_rows
    kept = dry[rows.start] & dry[rows.end]
    return rows.end[kept], np.concatenate([[0], np.cumsum(kept)])[rows.row_ends]


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
