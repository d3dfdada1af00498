"""Bays: the laminate between a line and its neighbours, abreast of the line, side by side."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from optimiser.network.flow_network import Bay, BoolArray, FloatArray, FlowNetwork, IntArray


@dataclass(frozen=True, kw_only=True)
class NearLine:
    """Where each cell lies beside its nearest line."""

    line: IntArray
    piece: IntArray
    """Index of the nearest node along that line."""
    chainage_m: FloatArray
    side: IntArray
    """0: left of the line as it runs, 1: right."""


def near_line(network: FlowNetwork) -> NearLine:
    place = drawn_place(network)
    nodes = np.concatenate([line.nodes for line in network.lines])
    owner = np.concatenate([np.full(len(line.nodes), k) for k, line in enumerate(network.lines)])
    piece = np.concatenate([np.arange(len(line.nodes)) for line in network.lines])
    along = np.concatenate([np.cumsum(line.node_length_m) - line.node_length_m / 2 for line in network.lines])
    _, at = cKDTree(place[nodes]).query(place[: network.cell_count])
    side = np.zeros(network.cell_count, dtype=np.int64)
    for k in range(len(network.lines)):
        cells = np.flatnonzero(owner[at] == k)
        side[cells] = _side(network, k, cells, piece[at[cells]])
    return NearLine(line=owner[at], piece=piece[at], chainage_m=along[at], side=side)


def bays(network: FlowNetwork) -> tuple[Bay, ...]:
    """One for each feed line, in the network's order.

    A cell belongs to a line's bay when the line is its nearest or second nearest, no other line lies between, and
    it is abreast of the line rather than beyond its ends.
    """
    place = drawn_place(network)
    cells = place[: network.cell_count]
    trees = [cKDTree(place[line.nodes]) for line in network.lines]
    distance, piece = (np.stack(rows) for rows in zip(*(tree.query(cells) for tree in trees), strict=True))
    nearest = np.argmin(distance, axis=0)
    out = []
    for k in range(len(network.lines)):
        mine = nearest == k
        for other, other_line in enumerate(network.lines):
            if other == k:
                continue
            spacing, _ = trees[k].query(place[other_line.nodes])
            beside = (nearest == other) & (distance[k] <= spacing[piece[other]] + 1e-9)
            mine |= beside & (_rank(distance, k) == 1)
        mine &= ~_beyond_ends(network, k, cells, piece[k], distance[k])
        chosen = np.flatnonzero(mine)
        out.append(Bay(cells=chosen, piece=piece[k][chosen], side=_side(network, k, chosen, piece[k][chosen])))
    return tuple(out)


def _rank(distance: FloatArray, k: int) -> IntArray:
    """How many lines are nearer to each cell than line k."""
    return np.asarray((distance < distance[k]).sum(axis=0))


def _beyond_ends(network: FlowNetwork, k: int, cells: FloatArray, piece: IntArray, distance: FloatArray) -> BoolArray:
    line = network.lines[k]
    offset = cells - drawn_place(network)[line.nodes[piece]]
    along = np.abs((offset * line_directions(network, k)[piece]).sum(axis=1))
    at_end = (piece == 0) | (piece == len(line.nodes) - 1)
    return np.asarray(at_end & (along > 0.75 * line.node_length_m[0] + 0.1 * distance))


def line_directions(network: FlowNetwork, k: int) -> FloatArray:
    """Of each node of the line, as the line runs, of length 1."""
    place = drawn_place(network)[network.lines[k].nodes]
    if len(place) == 1:
        return np.array([[1.0, 0.0, 0.0]])
    along = np.gradient(place, axis=0)
    return np.asarray(along / np.linalg.norm(along, axis=1)[:, None])


def _side(network: FlowNetwork, k: int, cells: IntArray, piece: IntArray) -> IntArray:
    along = line_directions(network, k)[piece]
    place = drawn_place(network)
    offset = place[cells] - place[network.lines[k].nodes[piece]]
    cross = along[:, 0] * offset[:, 1] - along[:, 1] * offset[:, 0]
    if np.ptp(place[: network.cell_count, 1]) < 1e-9:  # a sheet that stands upright
        cross = along[:, 0] * offset[:, 2] - along[:, 2] * offset[:, 0]
    return (cross < 0).astype(np.int64)


def drawn_place(network: FlowNetwork) -> FloatArray:
    if network.triangles is None:
        return np.column_stack([network.x_m, network.y_m, np.zeros(network.node_count)])
    return np.column_stack([network.x_m, network.y_m, network.height_m])
