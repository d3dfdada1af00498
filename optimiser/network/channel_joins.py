"""Where a gap opens into a feed line or into another gap."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from optimiser.network.flow_network import FloatArray

_LOOK_EVERY_M = 5e-3
"""Runs are compared at points so far apart; bores and gaps are about as wide."""


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


def join_of(one: ChannelCourse, other: ChannelCourse) -> ChannelJoin | None:
    """The join where the two come closest, if that is nearer than both are wide together; else None.

    Its conductance is that of half a node of each in series, as between two nodes of one channel.
    """
    points, other_points = _points(one.run_m), _points(other.run_m)
    distance, at = cKDTree(other_points).query(points)
    nearest = int(np.argmin(distance))
    if distance[nearest] > one.width_m + other.width_m:
        return None
    halves = [2 * each.section_conductance_m4 / each.node_length_m for each in (one, other)]
    return ChannelJoin(
        node=_node_at(nearest / max(len(points) - 1, 1), one),
        other_node=_node_at(int(at[nearest]) / max(len(other_points) - 1, 1), other),
        conductance_m3=halves[0] * halves[1] / (halves[0] + halves[1]),
    )


def _points(run_m: tuple[tuple[float, ...], ...]) -> FloatArray:
    """Along the run at even distances, both ends included."""
    corners = np.array([(*point, 0.0)[:3] for point in run_m], dtype=float)
    chainage = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(corners, axis=0), axis=1))])
    places = np.linspace(0.0, chainage[-1], 2 + int(chainage[-1] / _LOOK_EVERY_M))
    return np.column_stack([np.interp(places, chainage, corners[:, k]) for k in range(3)])


def _node_at(share: float, course: ChannelCourse) -> int:
    return min(int(share * course.node_count), course.node_count - 1)
