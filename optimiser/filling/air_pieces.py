"""Pieces of unfilled network in which air is joined, and their area."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_array
from scipy.sparse.csgraph import connected_components

from optimiser.network.flow_network import BoolArray, FloatArray, FlowNetwork, IntArray


@dataclass(frozen=True, kw_only=True)
class DryPieces:
    """Connected pieces of unfilled nodes, and which of them an open vent stands on."""

    dry: BoolArray
    count: int
    piece: IntArray
    """Of each node; wet nodes are pieces of their own."""
    drained: BoolArray
    """By piece. A vent cell, or a hose of a vent, that resin has filled drains no more, clamped or not."""

    @property
    def draining(self) -> BoolArray:
        """Of each node: whether it is dry with a way out."""
        return np.asarray(self.dry & self.drained[self.piece])


def dry_pieces(network: FlowNetwork, dry: BoolArray, vent_open: BoolArray) -> DryPieces:
    """Pieces of these nodes; vent_open: by vent."""
    count, piece = pieces_of(network, air_passes(network, dry))
    drained = np.zeros(count, dtype=bool)
    for vent, is_open in zip(network.vents, vent_open, strict=True):
        if is_open:
            drained[piece[vent.outlets[dry[vent.outlets]]]] = True
    return DryPieces(dry=dry, count=count, piece=piece, drained=drained)


def air_passes(network: FlowNetwork, dry: BoolArray) -> BoolArray:
    """Of each link: whether air passes. Both ends are dry, along empty feed lines too; a shut tap passes nothing."""
    passes = dry[network.links.start] & dry[network.links.end]
    passes[network.tap_links] = False
    return passes


def pieces_of(network: FlowNetwork, passes: BoolArray) -> tuple[int, IntArray]:
    """Number of pieces that these links leave, and the piece of each node.

    Asked after every step, so the rows of the graph are laid out once for the network. The graph is undirected: strong
    components of links laid both ways would spare turning it over, but SciPy's take the square of the nodes on some.
    """
    rows = network.link_rows
    kept = passes[rows.link]
    row_ends = np.concatenate([[0], np.cumsum(kept)])[rows.row_ends]
    to = rows.end[kept]
    graph = csr_array((np.ones(len(to)), to, row_ends), shape=(network.node_count,) * 2)
    count, piece = connected_components(graph, directed=False)
    return int(count), np.asarray(piece, dtype=np.int64)


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
