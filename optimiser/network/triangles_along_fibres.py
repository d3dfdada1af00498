"""Triangles whose edges follow the fibres, so that every link between corners passes resin the right way."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from optimiser.network.flow_network import BoolArray, FloatArray, IntArray

_MOST_ROUNDS = 100
_NEARLY_NOTHING = 1e-9
"""Of the largest stiffness: below it an edge is as good as square to the other two."""
_FLAT_ENOUGH = np.cos(np.radians(25.0))
"""Cosine of the angle between two triangles that may be drawn anew as if they lay in one plane."""
_LEAST_TURN = 1e-3
"""Of the area of the two triangles before: a thinner one is a crease and no triangle."""

Stiffness = Callable[[IntArray, IntArray], FloatArray]
"""(t, 3, 3) of triangles, (t, 3) corners, and the area of the part that each belongs to."""


def along_fibres(
    corners: FloatArray, triangles: IntArray, area_of_triangle: IntArray, stiffness: Stiffness
) -> tuple[IntArray, IntArray]:
    """The same corners joined by other triangles, each still of its area of the part, and these areas.

    Two triangles that share an edge with a negative link, -K_ab < 0, are joined across the other pair of their corners
    where that makes the link there larger. In an even sheet this ends with no negative link: the Delaunay triangulation
    in the lengths that the tensor gives (Lawson's flips; anisotropic M-matrices: Li and Huang, J. Comput. Phys.
    229:8072-8094, 2010, from memory). Edges of the part, borders of laminates and bends of more than 25 degrees stay.
    """
    triangles, area_of_triangle = triangles.copy(), area_of_triangle.copy()
    for _ in range(_MOST_ROUNDS):
        pairs = _neighbours(triangles, area_of_triangle)
        if not _flip(corners, triangles, area_of_triangle, pairs, stiffness):
            break
    return triangles, area_of_triangle


def _edges(triangles: IntArray) -> IntArray:
    """(3 t, 2): those opposite the first corners, the second and the third, the lower end first."""
    return np.sort(np.concatenate([triangles[:, [1, 2]], triangles[:, [2, 0]], triangles[:, [0, 1]]]), axis=1)


def _neighbours(triangles: IntArray, area_of_triangle: IntArray) -> IntArray:
    """(e, 4): two triangles of one area that share an edge, and the corner of each that does not lie on it."""
    count = len(triangles)
    ends = _edges(triangles)
    order = np.lexsort((ends[:, 1], ends[:, 0]))
    twice = np.flatnonzero((ends[order[:-1]] == ends[order[1:]]).all(axis=1))
    one, other = order[twice], order[twice + 1]
    pairs = np.column_stack([one % count, other % count, one // count, other // count])
    return np.asarray(pairs[area_of_triangle[pairs[:, 0]] == area_of_triangle[pairs[:, 1]]])


def _flip(
    corners: FloatArray,
    triangles: IntArray,
    area_of_triangle: IntArray,
    pairs: IntArray,
    stiffness: Stiffness,
) -> int:
    """Draw the worst pairs anew, no triangle twice; how many."""
    one, other, at, across_at = pairs.T
    k = stiffness(triangles, area_of_triangle)
    link = -(k[one, (at + 1) % 3, (at + 2) % 3] + k[other, (across_at + 1) % 3, (across_at + 2) % 3])
    bad = np.flatnonzero(link < -_NEARLY_NOTHING * float(np.abs(k).max()))
    if not len(bad):
        return 0
    pairs, link = pairs[bad], link[bad]
    one, other, at, across_at = pairs.T
    c, a, b = (triangles[one, (at + step) % 3] for step in range(3))
    d = triangles[other, across_at]
    areas = area_of_triangle[one]
    first, second = np.column_stack([c, a, d]), np.column_stack([d, b, c])
    new = -(stiffness(first, areas)[:, 0, 2] + stiffness(second, areas)[:, 2, 0])
    may = (new > link) & _lies_flat(corners, triangles[one], triangles[other], first, second)
    may &= ~_known(triangles, c, d)
    chosen = _one_for_each_triangle(one[may], other[may], link[may], len(triangles))
    picked = np.flatnonzero(may)[chosen]
    triangles[one[picked]], triangles[other[picked]] = first[picked], second[picked]
    return len(picked)


def _normals(corners: FloatArray, triangles: IntArray) -> FloatArray:
    p = corners[triangles]
    return np.cross(p[:, 1] - p[:, 0], p[:, 2] - p[:, 0])


def _lies_flat(
    corners: FloatArray, one: IntArray, other: IntArray, first: IntArray, second: IntArray
) -> BoolArray:
    """The two lie nearly in one plane, and their four corners make a convex piece of it."""
    before, also = _normals(corners, one), _normals(corners, other)
    sizes = np.linalg.norm(before, axis=1) * np.linalg.norm(also, axis=1)
    flat = (before * also).sum(axis=1) > _FLAT_ENOUGH * sizes
    whole = before + also
    size = (whole * whole).sum(axis=1)
    convex = [((_normals(corners, new) * whole).sum(axis=1) > _LEAST_TURN * size) for new in (first, second)]
    return np.asarray(flat & convex[0] & convex[1])


def _known(triangles: IntArray, c: IntArray, d: IntArray) -> BoolArray:
    """Whether the two corners are joined already."""
    count = int(triangles.max()) + 1
    ends = _edges(triangles)
    low, high = np.minimum(c, d), np.maximum(c, d)
    return np.isin(low * count + high, ends[:, 0] * count + ends[:, 1])


def _one_for_each_triangle(one: IntArray, other: IntArray, link: FloatArray, count: int) -> IntArray:
    """Places of pairs that have the least link of both their triangles; the first of equals."""
    order = np.lexsort((np.arange(len(link)), link))
    rank = np.empty(len(link), dtype=np.int64)
    rank[order] = np.arange(len(link))
    best = np.full(count, len(link), dtype=np.int64)
    np.minimum.at(best, one, rank)
    np.minimum.at(best, other, rank)
    return np.flatnonzero((best[one] == rank) & (best[other] == rank))
