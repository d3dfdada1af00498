"""Where a run laid over a triangle surface crosses the edges of its mesh."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from optimiser.network.flow_network import BoolArray, FloatArray, IntArray
from optimiser.network.sheet import Sheet

_AT_END = 1e-6
"""A run through a corner crosses every edge that ends there; this share of an edge is round-off."""


@dataclass(frozen=True, kw_only=True)
class Crossings:
    """Where a run crosses links, in order along the run."""

    link: IntArray
    share: FloatArray
    """How far along the link from its start."""
    at_m: FloatArray
    """How far along the run."""
    leftward: BoolArray
    """The link leads from the right of the run to its left, seen from above."""

    def __getitem__(self, chosen: IntArray | BoolArray) -> Crossings:
        return Crossings(
            link=self.link[chosen],
            share=self.share[chosen],
            at_m=self.at_m[chosen],
            leftward=self.leftward[chosen],
        )


NO_CROSSINGS = Crossings(
    link=np.empty(0, np.int64), share=np.empty(0), at_m=np.empty(0), leftward=np.empty(0, np.bool_)
)


def surface_crossings(sheet: Sheet, points: FloatArray) -> Crossings:
    """Edges of the mesh that the run crosses.

    points: (k, 3). Each edge is seen from straight above, along the mean normal of the surface at its ends,
    so that a run of few points over a curved surface crosses what lies beneath it: up to one cell beneath.
    """
    links, place = sheet.links, sheet.position_m
    above = _corner_normals(sheet)
    above = above[links.start] + above[links.end]
    above /= np.linalg.norm(above, axis=1)[:, None]
    origin = place[links.start]
    edge = place[links.end] - origin
    found: list[tuple[IntArray, FloatArray, FloatArray, BoolArray]] = []
    chainage = 0.0
    for first, last in pairwise(points):
        leg = last - first
        offset = first - origin
        turn = _turn(edge, leg, above)
        skew = np.abs(turn) > 1e-9 * np.linalg.norm(edge, axis=1) * np.linalg.norm(leg)
        turn = np.where(skew, turn, 1.0)
        share, along = _turn(offset, leg, above) / turn, _turn(offset, edge, above) / turn
        gap = np.abs(((offset + along[:, None] * leg - share[:, None] * edge) * above).sum(axis=1))
        hit = np.flatnonzero(skew & _within(share) & _within(along) & (gap < sheet.cell_size_m))
        length = float(np.linalg.norm(leg))
        found.append((hit, share[hit], chainage + along[hit] * length, turn[hit] < 0))
        chainage += length
    link, share, at, leftward = (np.concatenate(column) for column in zip(*found, strict=True))
    return _once(Crossings(link=link, share=share, at_m=at, leftward=leftward))


def _corner_normals(sheet: Sheet) -> FloatArray:
    """Sum of the normals of the triangles round each corner, weighted by their areas."""
    if sheet.triangles is None:
        raise ValueError("the sheet is not a surface")
    corners = sheet.position_m[sheet.triangles]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    total = np.zeros_like(sheet.position_m)
    np.add.at(total, sheet.triangles, normal[:, None, :])
    return total


def _turn(u: FloatArray, v: FloatArray, above: FloatArray) -> FloatArray:
    """Signed area of the parallelogram of u and v as seen from above."""
    return np.asarray((np.cross(u, v) * above).sum(axis=1))


def _within(share: FloatArray) -> BoolArray:
    return np.asarray(share > -_AT_END) & (share < 1.0 + _AT_END)


def _once(found: Crossings) -> Crossings:
    """Crossings in order along the run, each once; no edges that lie along it.

    A bend of the run is found on both its legs, and an edge between two bends is met at both its ends.
    """
    found = found[np.lexsort((found.link, found.at_m))]
    _, first = np.unique(np.column_stack([found.link, np.round(found.share, 5)]), axis=0, return_index=True)
    found = found[np.sort(first)]
    from_end = np.minimum(found.share, 1.0 - found.share)
    at_start = found.link[(from_end < _AT_END) & (found.share < 0.5)]
    at_end = found.link[(from_end < _AT_END) & (found.share > 0.5)]
    return found[~np.isin(found.link, np.intersect1d(at_start, at_end))]
