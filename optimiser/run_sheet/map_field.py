"""A field of values on a piece of the map: the part's edge, greys, lines of equal value and the numbers on them."""

from __future__ import annotations

from collections.abc import Sequence

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
from optimiser.run_sheet.map_room import Box, text_box


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
    """Numbers in the thirds of the line, at most three."""
    length = np.linalg.norm(np.diff(line, axis=0), axis=1).sum() * pen.pt_per_mm
    words = text_box(text, MINUTE_PT)
    for third in np.array_split(line, 3 if length > 300 else 1):
        spots = sorted(third, key=lambda p: float(np.linalg.norm(p - third[len(third) // 2])))
        boxes = (Box(x=x, y=y, width=words.width + 4, height=words.height + 2) for x, y in map(pen.page, spots))
        box = pen.room.first_free(boxes)
        if box is not None:
            pen.write(text, box, MINUTE_PT, zorder=5)
