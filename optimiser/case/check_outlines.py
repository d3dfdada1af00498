"""Outlines that enclose an area, holes inside them, areas that cover them, heights on them."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import shapely
from scipy.spatial import cKDTree
from shapely.validation import explain_validity

from optimiser.case.case_document import CaseDocument
from optimiser.case.check_cells import too_many_cells
from optimiser.case.layout_document import OutlineDocument, OutlineSheet
from optimiser.case.pointer import pointer
from optimiser.case.say_found import say_found
from optimiser.case.sheet_shape import TOUCH_MM, shape_of_outline
from optimiser.errors import Fault

LEAST_EXTENT_MM = 100.0
"""No part is smaller; a smaller one was written in metres."""
_LEAST_AREA_MM2 = 100.0
_FEWEST_CELLS_ACROSS = 4
_MOST_HEIGHT_FAULTS = 20
_NEIGHBOURS = 4
_SLACK = 1.02
"""Drawings laid flat are rarely exact; what is this much too steep is another unit, or another datum."""

Corners = tuple[tuple[float, float], ...]


def outline_faults(sheet: OutlineSheet) -> Iterator[Fault]:
    """Faults of the outlines; while there is one, nothing that rests on the sheet can be judged."""
    for place, outline in enumerate(sheet.outlines):
        path = pointer("sheet", "outlines", place)
        objection = ring_objection(outline.border_mm)
        extent_mm = np.ptp(np.array(outline.border_mm), axis=0).max()
        if extent_mm < LEAST_EXTENT_MM:
            yield Fault(
                path=f"{path}/border_mm",
                found=f"an outline {extent_mm:g} mm long",
                expected=f"a part longer than {LEAST_EXTENT_MM:g} mm",
                remedy="write millimetres, not metres",
            )
        elif objection:
            yield Fault(path=f"{path}/border_mm", found=objection[0], expected=objection[1])
        if outline.holes_mm and not objection:
            yield from _hole_faults(f"{path}/holes_mm", outline)


def sheet_faults(
    document: CaseDocument, sheet: OutlineSheet, shape: shapely.Geometry, near: shapely.Geometry
) -> Iterator[Fault]:
    """What rests on the sheet of this shape. The outlines must be without fault."""
    yield from _overlap_faults(sheet)
    yield from _height_faults(sheet, near)
    yield from _cell_faults(document, shape)
    crooked = list(_area_faults(document, shape))
    yield from crooked
    if not crooked:
        yield from _cover_faults(document, shape)


def hidden_areas(document: CaseDocument) -> tuple[str, ...]:
    """Warnings for areas of which later ones leave nothing. Borders must be valid."""
    hidden: list[str] = []
    above: shapely.Geometry | None = shapely.Polygon()
    """What later areas cover; None: everything."""
    for place, area in reversed(list(enumerate(document.areas))):
        shape = None if area.border_mm is None else shapely.Polygon(area.border_mm)
        if above is None or (shape is not None and above.covers(shape)):
            hidden.append(f"{pointer('areas', place)} ({area.name}) lies wholly under later areas")
        elif shape is None:
            above = None
        else:
            above = above.union(shape)
    return tuple(reversed(hidden))


def ring_objection(corners: Corners) -> tuple[str, str] | None:
    """What is wrong with a closed line of corners, and what would be right; None if nothing is."""
    ring = shapely.Polygon(corners)
    if not ring.is_valid:
        return (
            f"a border that crosses or touches itself ({explain_validity(ring)})",
            "corners in order, once round",
        )
    if ring.area < _LEAST_AREA_MM2:
        return "a border that encloses no area", "at least three corners that are not on one line"
    return None


def _hole_faults(path: str, outline: OutlineDocument) -> Iterator[Fault]:
    """The border of the outline must be sound."""
    border, sound = shapely.Polygon(outline.border_mm), True
    shapely.prepare(border)
    for place, hole in enumerate(outline.holes_mm):
        at = path + pointer(place)
        if objection := ring_objection(hole):
            yield Fault(path=at, found=objection[0], expected=objection[1])
            sound = False
        elif not border.contains(shapely.Polygon(hole)):
            yield Fault(path=at, found="a hole that leaves its outline", expected="a hole inside its outline")
            sound = False
    if sound and not shape_of_outline(outline).is_valid:
        yield Fault(path=path, found="holes that meet each other or the border", expected="holes apart")


def _overlap_faults(sheet: OutlineSheet) -> Iterator[Fault]:
    shapes = [shape_of_outline(outline) for outline in sheet.outlines]
    meeting = shapely.STRtree(shapes).query(shapes, predicate="intersects")
    for earlier, place in sorted(zip(*meeting.tolist(), strict=True)):
        if earlier >= place:
            continue
        shared_mm2 = shapes[earlier].intersection(shapes[place]).area
        if shared_mm2 > max(_LEAST_AREA_MM2, TOUCH_MM * shapes[place].length):
            path = pointer("sheet", "outlines", place, "border_mm")
            found = f"an overlap of {shared_mm2 / 100:.3g} cm2 with an earlier outline"
            yield Fault(path=path, found=found, expected="outlines that touch at most along their borders")


def _height_faults(sheet: OutlineSheet, near: shapely.Geometry) -> Iterator[Fault]:
    places = [height.at_mm for height in sheet.heights]
    outside = set(np.flatnonzero(~shapely.intersects_xy(near, np.reshape(places, (-1, 2))))[:_MOST_HEIGHT_FAULTS])
    seen: dict[tuple[float, float], int] = {}
    for place, height in enumerate(sheet.heights):
        earlier = seen.setdefault(height.at_mm, place)
        if sheet.heights[earlier].height_mm != height.height_mm:
            found = f"another height where entry {earlier} has one"
            yield Fault(path=_height_path(place), found=found, expected="one height at each place")
        if place in outside:
            yield Fault(path=_height_path(place), found=say_place(height.at_mm), expected="a place on the sheet")
    yield from _steep_faults(sheet)


def _steep_faults(sheet: OutlineSheet) -> Iterator[Fault]:
    """The sheet is laid flat: along it two places lie no nearer to each other than their heights differ."""
    if len(sheet.heights) < 2:
        return
    places = np.array([height.at_mm for height in sheet.heights], dtype=float)
    heights_mm = np.array([height.height_mm for height in sheet.heights])
    apart_mm, near = cKDTree(places).query(places, k=min(_NEIGHBOURS + 1, len(places)))
    too_high = np.abs(heights_mm[near] - heights_mm[:, None]) - apart_mm * _SLACK
    too_high[apart_mm == 0] = -np.inf  # two heights at one place have a fault of their own
    place, column = np.unravel_index(int(np.argmax(too_high)), too_high.shape)
    if too_high[place, column] > 0:
        one, other = sorted((int(place), int(near[place, column])))
        yield Fault(
            path=pointer("sheet", "heights", other, "height_mm"),
            found=f"{abs(heights_mm[one] - heights_mm[other]):g} mm above or below entry {one}",
            expected=f"no more than the way along the sheet between the two, {apart_mm[place, column]:.0f} mm",
        )


def _height_path(place: int) -> str:
    return pointer("sheet", "heights", place, "at_mm")


def _cell_faults(document: CaseDocument, shape: shapely.Geometry) -> Iterator[Fault]:
    x0, y0, x1, y1 = shape.bounds
    yield from too_many_cells(document.search.cell_mm, (x1 - x0) * (y1 - y0))
    most_mm = min(x1 - x0, y1 - y0) / _FEWEST_CELLS_ACROSS
    if document.search.cell_mm > most_mm:
        yield Fault(
            path=pointer("search", "cell_mm"),
            found=f"{document.search.cell_mm:g} mm",
            expected=f"at most {math.floor(10 * most_mm) / 10:g} mm for this sheet, "
            f"{_FEWEST_CELLS_ACROSS} cells across it",
        )


def _area_faults(document: CaseDocument, shape: shapely.Geometry) -> Iterator[Fault]:
    shapely.prepare(shape)
    for place, area in enumerate(document.areas):
        if area.border_mm is None:
            continue
        path = pointer("areas", place, "border_mm")
        if objection := ring_objection(area.border_mm):
            yield Fault(path=path, found=objection[0], expected=objection[1])
        elif _lies_beside(shapely.Polygon(area.border_mm), shape):
            yield Fault(
                path=path, found="an area beside the sheet", expected="an area that lies on the sheet"
            )


def _lies_beside(area: shapely.Polygon, sheet: shapely.Geometry) -> bool:
    """Whether nothing worth speaking of is on the sheet. A sound area that is all on it need not be cut out."""
    return not sheet.covers(area) and sheet.intersection(area).area < _LEAST_AREA_MM2


def _cover_faults(document: CaseDocument, shape: shapely.Geometry) -> Iterator[Fault]:
    borders = [area.border_mm for area in document.areas]
    if None in borders:
        return
    cover = shapely.union_all([shapely.Polygon(border) for border in borders if border is not None])
    if shape.difference(cover).area <= _LEAST_AREA_MM2:
        return
    bare = shape.difference(cover.buffer(TOUCH_MM))
    if bare.area > _LEAST_AREA_MM2:
        spot = max(shapely.get_parts(bare), key=shapely.area).representative_point()
        yield Fault(
            path=pointer("areas"),
            found=f"{bare.area / 100:.4g} cm2 without a laminate, near {say_place((spot.x, spot.y))}",
            expected="areas that cover the whole sheet",
            remedy="let the first area have border_mm: null",
        )


def say_place(place_mm: tuple[float, ...]) -> str:
    return say_found(f"[{', '.join(f'{value:g}' for value in place_mm)}]").strip("'")
