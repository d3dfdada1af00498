"""Where borders of laminate areas run through a lattice: what cells and links have of each area."""

from __future__ import annotations

import numpy as np
import shapely

from optimiser.network.flow_network import BoolArray, FloatArray, IntArray
from optimiser.part.part import Part

_TRACKS = 4
"""Side by side along a link; the resin in each goes through what it lies in, piece after piece."""
_LEAST_SHARE = 1e-6


def seen_areas(part: Part, shape: shapely.Geometry) -> list[shapely.Geometry]:
    """What is seen of each area within the outlines: less the areas that are laid over it."""
    left, seen = shape, []
    for area in reversed(part.areas):
        own = left if area.border_m is None else _faces(shapely.intersection(shapely.Polygon(area.border_m), left))
        left = _faces(shapely.difference(left, own))
        seen.append(own)
    seen[-1] = _faces(shapely.union(seen[-1], left))
    for one in seen:
        shapely.prepare(one)
    return seen[::-1]


def _faces(shape: shapely.Geometry) -> shapely.Geometry:
    """Without the lines and points in which areas touch."""
    return shapely.MultiPolygon([one for one in shapely.get_parts(shape) if shapely.area(one) > 0])


def shares_of_areas(pieces: FloatArray, at_centre: IntArray, seen: list[shapely.Geometry]) -> FloatArray:
    """(cells, areas): share of each cell that lies in each area.

    pieces: (cells,), polygons; at_centre: index of the area in which each has its centre.
    """
    shares = np.zeros((len(at_centre), len(seen)))
    shares[np.arange(len(at_centre)), at_centre] = 1.0
    whole = np.zeros(len(at_centre), dtype=bool)
    for k, one in enumerate(seen):
        here = at_centre == k
        whole[here] = shapely.covers(one, pieces[here])
    cut = np.flatnonzero(~whole)
    if len(cut) == 0 or len(seen) == 1:
        return shares
    parts = np.column_stack([shapely.area(shapely.intersection(pieces[cut], one)) for one in seen])
    parts = np.where(parts < _LEAST_SHARE * shapely.area(pieces[cut])[:, None], 0.0, parts)
    covered = parts.sum(axis=1) > 0
    shares[cut[covered]] = parts[covered] / parts[covered].sum(axis=1, keepdims=True)
    return shares


def mixed(shares: FloatArray) -> BoolArray:
    """Cells that lie in more than one area."""
    return np.asarray(shares.max(axis=1) < 1.0)


def conductance_across_m3(
    start: FloatArray,
    end: FloatArray,
    width_m: float,
    straight_m3: FloatArray,
    seen: list[shapely.Geometry],
) -> FloatArray:
    """Of links from start to end, (links, 2), as wide as this: side by side along tracks, piece after piece in each.

    straight_m3: permeability times thickness of each area, in the direction of the links. What lies outside the
    outlines counts as what lies inside.
    """
    along = end - start
    length_m = np.hypot(along[:, 0], along[:, 1])
    across = np.column_stack([-along[:, 1], along[:, 0]]) / length_m[:, None] * width_m
    total, tracks = np.zeros(len(start)), np.zeros(len(start))
    for k in range(_TRACKS):
        aside = ((k + 0.5) / _TRACKS - 0.5) * across
        lines = shapely.linestrings(np.stack([start + aside, end + aside], axis=1))
        pieces_m = np.column_stack([shapely.length(shapely.intersection(lines, one)) for one in seen])
        inside_m = pieces_m.sum(axis=1)
        there = inside_m > _LEAST_SHARE * length_m
        resistance = (pieces_m[there] / straight_m3).sum(axis=1) * (length_m / np.maximum(inside_m, 1e-300))[there]
        total[there] += width_m / resistance
        tracks += there
    return total / np.maximum(tracks, 1)
