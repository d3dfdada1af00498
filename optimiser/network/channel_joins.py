"""Where a gap opens into a feed line, a vent or another gap."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.spatial import cKDTree

from optimiser.network.flow_network import FloatArray
from optimiser.physics.pipe_flow import in_series_m3

_LOOK_EVERY_M = 5e-3
"""Runs are compared at points so far apart; bores and gaps are about as wide."""
_NEXT_TO = 0.05
"""Share of a node by which a place is at its middle."""


@dataclass(frozen=True, kw_only=True)
class ChannelCourse:
    """A channel as far as its joins go."""

    run_m: tuple[tuple[float, ...], ...]
    node_count: int
    node_length_m: float
    width_m: float
    """Bore of a line, width of a gap."""
    section_conductance_m4: float
    """Conductance times length."""


@dataclass(frozen=True, kw_only=True)
class ChannelJoin:
    node: int
    other_node: int
    """In order along each."""
    conductance_m3: float


def joins_of(one: ChannelCourse, other: ChannelCourse) -> list[ChannelJoin]:
    """Wherever the two come nearer to each other than both are wide together: once where they meet or cross, at every
    node where they run beside each other.

    Their conductance is that of the way along each, from the middle of the node to where they meet, in series.
    """
    joins = []
    for place, other_place in _meetings(one, other):
        for node, way_m in _ways(place, one):
            for other_node, other_way_m in _ways(other_place, other):
                conductance_m3 = in_series_m3(
                    (one.section_conductance_m4 / way_m, other.section_conductance_m4 / other_way_m)
                )
                joins.append(ChannelJoin(node=node, other_node=other_node, conductance_m3=conductance_m3))
    return joins


def openings_into(run_m: tuple[tuple[float, ...], ...], bore_m: float, gap: ChannelCourse) -> list[tuple[int, float]]:
    """Nodes of a gap that opens into a vent which holds vacuum all along, each with its conductance to there."""
    vent = replace(gap, run_m=run_m, width_m=bore_m)
    return [
        (node, gap.section_conductance_m4 / way_m)
        for place, _ in _meetings(gap, vent)
        for node, way_m in _ways(place, gap)
    ]


def _ways(place: float, course: ChannelCourse) -> list[tuple[int, float]]:
    """The nodes on either side of a place, counted in nodes from the start, and how far away their middles are.

    One alone at an end, or where its middle is next to the place.
    """
    nodes = np.arange(course.node_count)
    away = np.abs(nodes + 0.5 - place)
    beside = nodes[away < 1.0 - _NEXT_TO] if away.min() > _NEXT_TO else nodes[[np.argmin(away)]]
    return [(int(node), max(float(away[node]), _NEXT_TO) * course.node_length_m) for node in beside]


def _meetings(one: ChannelCourse, other: ChannelCourse) -> list[tuple[float, float]]:
    """Places on both, counted in nodes from their starts, in order along the first."""
    points, other_points = _points(one.run_m), _points(other.run_m)
    nodes, other_nodes = (np.linspace(0.0, of.node_count, len(at)) for of, at in ((one, points), (other, other_points)))
    distance_m, at = cKDTree(other_points).query(points)
    near = np.flatnonzero(distance_m <= one.width_m + other.width_m)
    stretches = np.split(near, np.flatnonzero(np.diff(near) > 1) + 1) if len(near) else []
    found: list[tuple[float, float]] = []
    for stretch in stretches:
        if len(stretch) * _LOOK_EVERY_M <= one.node_length_m + one.width_m + other.width_m:
            nearest = stretch[np.argmin(distance_m[stretch])]
            found.append((float(nodes[nearest]), float(other_nodes[at[nearest]])))
        else:
            middles = np.arange(np.ceil(nodes[stretch[0]] - 0.5), nodes[stretch[-1]] - 0.5 + 1e-9) + 0.5
            beside = at[np.round(np.interp(middles, nodes, np.arange(len(nodes)))).astype(int)]
            found += zip(middles.tolist(), other_nodes[beside].tolist(), strict=True)
    return found


def _points(run_m: tuple[tuple[float, ...], ...]) -> FloatArray:
    """Along the run at even distances, both ends included."""
    corners = np.array([(*point, 0.0)[:3] for point in run_m], dtype=float)
    chainage = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(corners, axis=0), axis=1))])
    places = np.linspace(0.0, chainage[-1], 2 + int(chainage[-1] / _LOOK_EVERY_M))
    return np.column_stack([np.interp(places, chainage, corners[:, k]) for k in range(3)])
