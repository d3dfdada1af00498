"""Lay a polyline on the sheet: where it crosses links, and which cells it touches."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from scipy.spatial import cKDTree

from optimiser.network.flow_network import FloatArray, IntArray
from optimiser.network.sheet import Sheet
from optimiser.network.surface_crossings import NO_CROSSINGS, Crossings, surface_crossings
from optimiser.part.part import Part
from optimiser.physics.permeability import even_transmissibility_m3, square_to_line_m3

_NEAREST_SHARE = 0.01
"""A crossing is kept this share of a link away from its ends, so that no contact conducts without limit."""
_LOOKS_PER_CELL = 10
"""Places along a run at which it is asked which cell it lies on."""
_NO_LENGTH_M = 1e-9
_CLOSEST_TOUCH_SHARE = 0.005
"""A run through the middle of a cell has no distance to it in the plane; this share of a cell stands in for none."""
OVER_MIDDLE_SHARE = 0.02
"""A run that crosses a link nearer than this to its end lies over the middle of that cell."""


@dataclass(frozen=True, kw_only=True)
class Touches:
    """Where a run crosses no link of a cell that it lies on, along an edge or at a point, it touches the cell."""

    cell: IntArray
    at_m: FloatArray
    """Along the run, to the middle of what lies on the cell."""
    offset_m: FloatArray
    """(t, 3): square from the run to the middle of the cell."""
    length_m: FloatArray
    """Of the run, that lies on the cell."""


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
    touches: Touches
    touch_node: IntArray


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
    touches = _touches(sheet, points, chainage, link)
    return LaidRun(
        node_length_m=length,
        position_m=position,
        crossing_node=_node_at(at, length, count),
        crossing_link=link,
        crossing_share=np.clip(share, _NEAREST_SHARE, 1.0 - _NEAREST_SHARE),
        crossing_direction=_directions(points, chainage, at),
        touches=touches,
        touch_node=_node_at(touches.at_m, length, count),
    )


def _node_at(at_m: FloatArray, length_m: float, count: int) -> IntArray:
    """Which length of the run each of these places lies on; a point has one."""
    if length_m == 0.0:
        return np.zeros(len(at_m), dtype=np.int64)
    return np.minimum((at_m / length_m + 1e-9).astype(np.int64), count - 1)


def _legs(chainage: FloatArray, at_m: FloatArray) -> IntArray:
    """Which straight piece of the run each of these places lies on."""
    return np.clip(np.searchsorted(chainage, at_m, side="right") - 1, 0, max(len(chainage) - 2, 0))


def _directions(points: FloatArray, chainage: FloatArray, at_m: FloatArray) -> FloatArray:
    """(n, 3): of the run at these places; a point has none."""
    if len(points) == 1:
        return np.zeros((len(at_m), 3))
    leg = _legs(chainage, at_m)
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


def _touches(sheet: Sheet, points: FloatArray, chainage: FloatArray, link: IntArray) -> Touches:
    """Cells that the run lies on without crossing any of their links: nearest to some length of it, and abreast of it,
    as a run that crosses links ends at the last middle of a cell that it has passed.

    A run that would neither cross nor touch anything touches the cell nearest to its middle.
    """
    run_m, looks_m = float(chainage[-1]), sheet.cell_size_m / _LOOKS_PER_CELL
    count = max(1, round(run_m / looks_m))
    at_m = (np.arange(count) + 0.5) * run_m / count
    place = np.column_stack([np.interp(at_m, chainage, points[:, k]) for k in range(3)])
    on_cell = cKDTree(sheet.position_m).query(place)[1]
    leg = _legs(chainage, at_m)
    first = np.flatnonzero((np.diff(on_cell, prepend=-1) != 0) | (np.diff(leg, prepend=-1) != 0))
    looks = np.diff(first, append=count)
    middle = first + (looks - 1) // 2
    along = _directions(points, chainage, at_m[middle])
    away = sheet.position_m[on_cell[middle]] - place[middle]
    ahead_m = (away * along).sum(axis=1)
    abreast_at_m = at_m[middle] + ahead_m
    touched = ~np.isin(on_cell[middle], np.union1d(sheet.links.start[link], sheet.links.end[link]))
    leg_end = np.minimum(leg[middle] + 1, len(chainage) - 1)
    touched &= (abreast_at_m >= chainage[leg[middle]]) & (abreast_at_m <= chainage[leg_end])
    if not len(link) and not touched.any():
        touched[len(touched) // 2] = True
    length_m = looks * run_m / count if run_m > 0 else np.full(len(middle), sheet.cell_size_m)
    return Touches(
        cell=on_cell[middle][touched],
        at_m=at_m[middle][touched],
        offset_m=(away - ahead_m[:, None] * along)[touched],
        length_m=length_m[touched],
    )


def touch_conductance_m3(part: Part, sheet: Sheet, touches: Touches, added_m: float | FloatArray = 0.0) -> FloatArray:
    """K h length / distance of each touch, square to the run, along which pressure is the same.

    added_m: to the distance, one for all or one for each of the part's areas.
    """
    area = sheet.area_of_cell[touches.cell]
    tensors = np.array([one.laminate.transmissibility_m3 for one in part.areas])
    along_m = np.linalg.norm(touches.offset_m, axis=1)
    along_m = np.maximum(along_m, _CLOSEST_TOUCH_SHARE * sheet.cell_size_m)
    added = np.broadcast_to(added_m, len(part.areas))[area]
    plane_m = np.linalg.norm(touches.offset_m[:, :2], axis=1)
    square = touches.offset_m[:, :2] / np.maximum(plane_m, _NO_LENGTH_M)[:, None]
    even, across = even_transmissibility_m3(tensors[area]), square_to_line_m3(tensors[area], square)
    across = np.where(plane_m < _NO_LENGTH_M, even, across)
    return np.asarray(across * touches.length_m / (along_m + added))
