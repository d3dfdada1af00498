"""Which unfilled regions have lost their last open vent."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from optimiser.network.flow_network import BoolArray, FloatArray, FlowNetwork, IntArray


@dataclass(frozen=True, kw_only=True)
class LockedPiece:
    """A connected piece of unfilled nodes without an open vent on it."""

    nodes: IntArray
    area_m2: float
    """Unfilled area of its cells; dry through all their layers or in one of them, a cell counts once."""
    pore_m3: float
    """Unfilled pore volume."""


def locked_pieces(
    network: FlowNetwork, saturation: FloatArray, wet: BoolArray, vent_open: BoolArray
) -> list[LockedPiece]:
    """Unfilled pieces that no open vent stands on, largest first.

    Air passes over every link between unfilled nodes, along empty feed lines too; a shut tap passes nothing. A
    vent cell that resin has filled drains no more, whether it is clamped or not.
    """
    dry = ~wet
    if not dry.any():
        return []
    links = network.links
    passes = dry[links.start] & dry[links.end]
    passes[network.tap_links] = False
    pairs = (links.start[passes], links.end[passes])
    graph = coo_matrix((np.ones(len(pairs[0]), dtype=np.int8), pairs), shape=(network.node_count,) * 2)
    count, piece = connected_components(graph, directed=False)
    drained = np.zeros(count, dtype=bool)
    for vent, is_open in zip(network.vents, vent_open, strict=True):
        if is_open:
            drained[piece[vent.cells[dry[vent.cells]]]] = True
    lost = dry & ~drained[piece]
    lost[network.manifold] = False
    if not lost.any():
        return []
    unfilled = 1.0 - saturation
    areas = _areas_m2(network, unfilled, np.flatnonzero(lost), piece, count)
    volumes = np.bincount(piece[lost], weights=(unfilled * network.volume_m3)[lost], minlength=count)
    found = [
        LockedPiece(nodes=np.flatnonzero(lost & (piece == k)), area_m2=float(areas[k]), pore_m3=float(volumes[k]))
        for k in np.unique(piece[lost])
    ]
    return sorted(found, key=lambda one: (-one.pore_m3, int(one.nodes[0])))


def _areas_m2(
    network: FlowNetwork, unfilled: FloatArray, lost: IntArray, piece: IntArray, count: int
) -> FloatArray:
    """Unfilled area of each piece; of a cell's layers the emptiest counts."""
    lost = lost[lost < network.sheet_count]
    key = piece[lost] * network.cell_count + network.cell_of_node[lost]
    unique, where = np.unique(key, return_inverse=True)
    area_m2 = np.zeros(len(unique))
    np.maximum.at(area_m2, where, (unfilled * network.area_m2)[lost])
    return np.bincount(unique // network.cell_count, weights=area_m2, minlength=count).astype(np.float64, copy=False)
