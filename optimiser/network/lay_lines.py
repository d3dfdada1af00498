"""Lay a polyline on the sheet: where it crosses links, and which cells it touches."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from scipy.spatial import cKDTree

from optimiser.network.flow_network import FloatArray, IntArray
from optimiser.network.sheet import Sheet
from optimiser.network.surface_crossings import NO_CROSSINGS, Crossings, surface_crossings

_NEAREST_SHARE = 0.01
"""A crossing is kept this share of a link away from its ends, so that no contact conducts without limit."""
OVER_MIDDLE_SHARE = 0.02
"""A run that crosses a link nearer than this to its end lies over the middle of that cell."""


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
    touch_offset_m: FloatArray
    """(t, 3): from the run to the middle of the cell. Where a run crosses no link of a cell that it lies on, along a
    border or at a point, it touches the cell."""
    touch_length_m: FloatArray
    """Of the run, that lies on the cell."""


def lay_run(sheet: Sheet, run_m: tuple[tuple[float, ...], ...]) -> LaidRun:
    points = np.array([(*point, 0.0)[:3] for point in run_m], dtype=float)
    chainage = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    count = max(1, round(float(chainage[-1]) / sheet.cell_size_m))
    length = float(chainage[-1]) / count
    middles = (np.arange(count) + 0.5) * length
    position = np.column_stack([np.interp(middles, chainage, points[:, k]) for k in range(3)])
    if len(points) == 1:
        found = NO_CROSSINGS
    elif sheet.triangles is None:
        found = _lattice_crossings(sheet, points, chainage)
    else:
        found = surface_crossings(sheet, points)
    link, share, at = _on_one_side_of_cells(sheet, found)
    node = np.minimum((at / length + 1e-9).astype(np.int64), count - 1) if length > 0 else np.empty(0, np.int64)
    touch_cell, touch_at, offset = _touches(sheet, points, chainage, link)
    return LaidRun(
        node_length_m=length,
        position_m=position,
        crossing_node=node,
        crossing_link=link,
        crossing_share=np.clip(share, _NEAREST_SHARE, 1.0 - _NEAREST_SHARE),
        crossing_direction=_directions(points, chainage, at),
        touch_node=np.minimum((touch_at / length + 1e-9).astype(np.int64), count - 1)
        if length > 0
        else np.zeros(len(touch_cell), np.int64),
        touch_cell=touch_cell,
        touch_offset_m=offset,
        touch_length_m=_shares_of_run(touch_at, sheet.cell_size_m, float(chainage[-1])),
    )


def _directions(points: FloatArray, chainage: FloatArray, at: FloatArray) -> FloatArray:
    if len(at) == 0:
        return np.empty((0, 3))
    leg = np.clip(np.searchsorted(chainage, at, side="right") - 1, 0, len(points) - 2)
    along = points[leg + 1] - points[leg]
    return np.asarray(along / np.linalg.norm(along, axis=1)[:, None])


def _on_one_side_of_cells(sheet: Sheet, found: Crossings) -> tuple[IntArray, FloatArray, FloatArray]:
    """Links, shares and chainages less the crossings on the left of cells that the run lies over.

    A run over the middle of a cell crosses its links on both sides. If both were cut there, the cell would
    stand alone under the line, behind it from either side, and lock when the line is wet. So it counts as left.
    """
    links = sheet.links
    at_start, at_end = found.share < OVER_MIDDLE_SHARE, found.share > 1.0 - OVER_MIDDLE_SHARE
    cell = np.where(at_start, links.start[found.link], links.end[found.link])
    to_left = (at_start & found.leftward) | (at_end & ~found.leftward)
    to_right = (at_start | at_end) & ~to_left
    kept = ~(to_left & np.isin(cell, cell[to_right]))
    return found.link[kept], found.share[kept], found.at_m[kept]


def _lattice_crossings(sheet: Sheet, points: FloatArray, chainage: FloatArray) -> Crossings:
    """Links that the run crosses in a point."""
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
    link, share, at = link[order], share[order], at[order]
    step = place[sheet.links.end[link]] - place[sheet.links.start[link]]
    along = _directions(points, chainage, at)
    leftward = along[:, 0] * step[:, 1] > along[:, 1] * step[:, 0]
    return Crossings(link=link, share=share, at_m=at, leftward=leftward)


def _touches(
    sheet: Sheet, points: FloatArray, chainage: FloatArray, link: IntArray
) -> tuple[IntArray, FloatArray, FloatArray]:
    """Cells that the run lies on without crossing any of their links, in order along it: where, and how far from it.

    Those within half a cell, and along an edge the nearest however far: of a cell that the edge cuts little is left.
    A run that neither crosses nor touches anything touches the one cell nearest to its middle.
    """
    half_m = 0.5 * sheet.cell_size_m
    tree = cKDTree(sheet.position_m)
    looks = np.linspace(0.0, chainage[-1], 1 + int(chainage[-1] / half_m)) if chainage[-1] > 0 else chainage[:1]
    places = np.column_stack([np.interp(looks, chainage, points[:, k]) for k in range(3)])
    nearest = np.unique(tree.query(places)[1])
    near = nearest
    if len(points) > 1:
        close = np.concatenate(tree.query_ball_point(places, 2.0 * half_m)).astype(np.int64)
        near = np.union1d(nearest, close)
    crossed = np.union1d(sheet.links.start[link], sheet.links.end[link])
    cells = near[~np.isin(near, crossed)]
    cells, at_m, offset = _beside_legs(points, chainage, cells, sheet.position_m[cells])
    away_m = np.linalg.norm(offset, axis=1)
    least_m = np.full(len(sheet.position_m), np.inf)
    np.minimum.at(least_m, cells, away_m)
    beneath = (away_m <= half_m * (1 + 1e-9)) | (np.isin(cells, nearest) & (away_m <= least_m[cells]))
    if len(points) == 1 or (not len(link) and not beneath.any()):
        middle = places[[len(places) // 2]]
        cells = tree.query(middle)[1]
        return cells, looks[[len(looks) // 2]], sheet.position_m[cells] - middle
    order = np.lexsort((cells[beneath], at_m[beneath]))
    return cells[beneath][order], at_m[beneath][order], offset[beneath][order]


def _beside_legs(
    points: FloatArray, chainage: FloatArray, cells: IntArray, place: FloatArray
) -> tuple[IntArray, FloatArray, FloatArray]:
    """Each cell once for every leg that it lies abreast of: where along the run, and the way from there to it."""
    if len(points) == 1:
        return cells, np.zeros(len(cells)), place - points[0]
    found = []
    for leg, (start, end) in enumerate(pairwise(points)):
        along = end - start
        share = (place - start) @ along / (along @ along)
        of = np.flatnonzero((share >= 0.0) & (share <= 1.0))
        at_m = chainage[leg] + share[of] * (chainage[leg + 1] - chainage[leg])
        found.append((of, at_m, place[of] - start - share[of, None] * along))
    which, at_m, offset = (np.concatenate(parts) for parts in zip(*found, strict=True))
    return cells[which], at_m, offset


def _shares_of_run(at_m: FloatArray, cell_m: float, run_m: float) -> FloatArray:
    """How much of the run lies on each of these cells: half the way to the next on either side, half a cell at most."""
    if run_m == 0.0 or len(at_m) == 0:
        return np.full(len(at_m), cell_m)
    gaps = np.minimum(np.diff(at_m) / 2, cell_m / 2)
    before = np.concatenate([[min(at_m[0], cell_m / 2)], gaps])
    after = np.concatenate([gaps, [min(run_m - at_m[-1], cell_m / 2)]])
    shares: FloatArray = np.maximum(before + after, 1e-3 * cell_m)
    return shares
