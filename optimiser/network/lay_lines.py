"""Lay a polyline on the sheet: where it crosses links, and which cells it touches."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from scipy.spatial import cKDTree

from optimiser.network.flow_network import FloatArray, IntArray
from optimiser.network.sheet import Sheet
from optimiser.network.surface_crossings import surface_crossings

_NEAREST_SHARE = 0.01
"""A crossing is kept this share of a link away from its ends, so that no contact conducts without limit."""


@dataclass(frozen=True, kw_only=True)
class LaidRun:
    """A run cut into equal lengths of about one cell; each length is one pipe node."""

    node_length_m: float
    position_m: FloatArray
    """(k, 3): the middle of each length."""
    crossing_node: IntArray
    crossing_link: IntArray
    crossing_share: FloatArray
    """How far along the link from its start the run crosses it."""
    crossing_direction: FloatArray
    """(c, 3): direction of the run where it crosses."""
    touch_node: IntArray
    touch_cell: IntArray
    touch_distance_m: FloatArray
    """Lengths that cross no link touch the cell they lie on: along a border, at a point."""


def lay_run(sheet: Sheet, run_m: tuple[tuple[float, ...], ...]) -> LaidRun:
    points = np.array([(*point, 0.0)[:3] for point in run_m], dtype=float)
    chainage = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    count = max(1, round(float(chainage[-1]) / sheet.cell_size_m))
    length = float(chainage[-1]) / count
    middles = (np.arange(count) + 0.5) * length
    position = np.column_stack([np.interp(middles, chainage, points[:, k]) for k in range(3)])
    if len(points) == 1:
        link, share, at = np.empty(0, np.int64), np.empty(0), np.empty(0)
    elif sheet.triangles is None:
        link, share, at = _crossings(sheet, points)
    else:
        link, share, at = surface_crossings(sheet, points)
    node = np.minimum((at / length).astype(np.int64), count - 1) if length > 0 else np.empty(0, np.int64)
    touch_node, touch_cell, distance = _touches(sheet, position, node, link)
    return LaidRun(
        node_length_m=length,
        position_m=position,
        crossing_node=node,
        crossing_link=link,
        crossing_share=np.clip(share, _NEAREST_SHARE, 1.0 - _NEAREST_SHARE),
        crossing_direction=_directions(points, chainage, at),
        touch_node=touch_node,
        touch_cell=touch_cell,
        touch_distance_m=distance,
    )


def _directions(points: FloatArray, chainage: FloatArray, at: FloatArray) -> FloatArray:
    if len(at) == 0:
        return np.empty((0, 3))
    leg = np.clip(np.searchsorted(chainage, at, side="right") - 1, 0, len(points) - 2)
    along = points[leg + 1] - points[leg]
    return np.asarray(along / np.linalg.norm(along, axis=1)[:, None])


def _crossings(sheet: Sheet, points: FloatArray) -> tuple[IntArray, FloatArray, FloatArray]:
    """Links that the run crosses in a point, the share along each link, and the chainage along the run."""
    run = shapely.LineString(points[:, :2])
    place = sheet.position_m[:, :2]
    ends = np.stack([place[sheet.links.start], place[sheet.links.end]], axis=1)
    low, high = points[:, :2].min(axis=0) - sheet.cell_size_m, points[:, :2].max(axis=0) + sheet.cell_size_m
    near = np.flatnonzero(((ends.max(axis=1) >= low) & (ends.min(axis=1) <= high)).all(axis=1))
    segments = shapely.linestrings(ends[near])
    shapely.prepare(run)
    hit = shapely.intersects(run, segments)
    crossing = shapely.intersection(run, segments[hit])
    single = shapely.get_type_id(crossing) == shapely.GeometryType.POINT
    link, crossing = near[hit][single], crossing[single]
    at = shapely.line_locate_point(run, crossing)
    share = shapely.line_locate_point(segments[hit][single], crossing, normalized=True)
    order = np.lexsort((link, at))
    return link[order], share[order], at[order]


def _touches(
    sheet: Sheet, position: FloatArray, node: IntArray, link: IntArray
) -> tuple[IntArray, IntArray, FloatArray]:
    """The nearest cell of each length, unless the run already crosses links of that cell."""
    _, nearest = cKDTree(sheet.position_m).query(position)
    crossed_cells = np.union1d(sheet.links.start[link], sheet.links.end[link])
    bare = ~np.isin(np.arange(len(position)), node) & ~np.isin(nearest, crossed_cells)
    touch_node = np.flatnonzero(bare)
    cells = nearest[touch_node]
    distance = np.linalg.norm(position[touch_node] - sheet.position_m[cells], axis=1)
    return touch_node, cells, distance
