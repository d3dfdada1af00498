"""A field of values on a piece of the map: the part's edge, greys, lines of equal value and the numbers on them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from numpy.typing import NDArray

from optimiser.case.map_document import MapOutline
from optimiser.run_sheet.ink import BLACK, WHITE, wet_greys
from optimiser.run_sheet.isochrones import CellField
from optimiser.run_sheet.map_pen import MINUTE_PT, Pen
from optimiser.run_sheet.map_room import Box, Point, text_box

_LONG_PT = 300.0
"""A line of equal value that is longer is numbered in each of its thirds."""
_GROUND_HEIGHTS = 1.3
"""Height of the white ground under a number as drawn, in heights of its letters: room beside feed lines is scarce."""
_OFF_SPOT_PT = 3.0
_BESIDE_PT = (4.0, 12.0)
"""How far beside its line a number may stand."""


def draw_outlines(axes: Axes, outlines: Sequence[MapOutline]) -> None:
    """The part's edge; what stays unshaded inside it has no value and is crossed over."""
    for outline in outlines:
        polygon = shapely.geometry.polygon.orient(shapely.Polygon(outline.border_mm, outline.holes_mm))
        # Rings turn against each other, so that holes stay empty.
        rings = [polygon.exterior, *polygon.interiors]
        path = Path.make_compound_path(*(Path(np.array(ring.coords), closed=True) for ring in rings))
        axes.add_patch(PathPatch(path, facecolor=WHITE, edgecolor=BLACK, hatch="xx", linewidth=0, zorder=0))
        axes.add_patch(PathPatch(path, facecolor="none", edgecolor=BLACK, linewidth=2, zorder=4))


def shade(axes: Axes, field: CellField, levels: Sequence[float]) -> None:
    """Darker is more; a line at each level between the first and the last."""
    greys = wet_greys(len(levels) - 1)
    axes.tricontourf(field.triangulation, field.finite, levels=levels, colors=greys, zorder=1)
    if len(levels) > 2:
        axes.tricontour(field.triangulation, field.finite, levels=levels[1:-1], colors=BLACK, linewidths=0.9, zorder=2)


def number_lines(pen: Pen, field: CellField, levels: Sequence[float], *, unit: str = "") -> None:
    """A number on each piece of each line of equal value, where there is room."""
    if not levels:
        return
    lines = pen.axes.tricontour(field.triangulation, field.finite, levels=levels, linewidths=0, zorder=2)
    for level, path in zip(lines.levels, lines.get_paths(), strict=True):
        for line in path.to_polygons(closed_only=False):
            _numbers_on(pen, np.asarray(line), f"{level:g} {unit}".rstrip())


def _numbers_on(pen: Pen, line: NDArray[np.float64], text: str) -> None:
    """Numbers in the thirds of the line, at most three. One that would cover a feed line, a vent or a gap stands beside
    its line instead, joined by a hair line; where there is no room for that either, it is left out.
    """
    length = np.linalg.norm(np.diff(line, axis=0), axis=1).sum() * pen.pt_per_mm
    words = Box(x=0.0, y=0.0, width=text_box(text, MINUTE_PT).width + 4, height=_GROUND_HEIGHTS * MINUTE_PT)
    for third in np.array_split(line, 3 if length > _LONG_PT else 1):
        spots = _from_middle(pen, third)
        box = pen.room.first_clear(_at(spot, words) for spot in spots)
        if box is not None:
            pen.write(text, box, MINUTE_PT, zorder=5)
        else:
            _number_beside(pen, spots, text, words)


def _number_beside(pen: Pen, spots: list[Point], text: str, words: Box) -> None:
    beside = {_at(spot, words, *way): spot for way in _beside(words) for spot in spots}
    box = pen.room.first_clear(box for box, spot in beside.items() if pen.room.is_clear(_hair(spot, box)))
    if box is not None:
        pen.join(beside[box], box)
        pen.write(text, box, MINUTE_PT, zorder=6.5)


def _from_middle(pen: Pen, line: NDArray[np.float64]) -> list[Point]:
    """Points of a line in points of the page, those nearest to its middle first."""
    middle = line[len(line) // 2]
    return [pen.page(spot) for spot in sorted(line, key=lambda spot: float(np.linalg.norm(spot - middle)))]


def _at(spot: Point, words: Box, dx: float = 0.0, dy: float = 0.0) -> Box:
    return replace(words, x=spot[0] + dx, y=spot[1] + dy)


def _hair(spot: Point, box: Box) -> Box:
    """From a spot to words over, under or to one side of it: across a feed line it would lead astray. Its first points
    may run on a stroke that lies along the line.
    """
    dx, dy = box.x - spot[0], box.y - spot[1]
    start = _OFF_SPOT_PT / max(abs(dx), abs(dy))
    middle = (1 + start) / 2
    wide, high = (max(abs(d) * (1 - start), 1.0) for d in (dx, dy))
    return Box(x=spot[0] + middle * dx, y=spot[1] + middle * dy, width=wide, height=high)


def _beside(words: Box) -> list[Point]:
    """Over, under and to both sides, near first."""
    return [
        (side * across * (words.width / 2 + far), side * (1 - across) * (words.height / 2 + far))
        for far in _BESIDE_PT
        for across in (0, 1)
        for side in (1, -1)
    ]
