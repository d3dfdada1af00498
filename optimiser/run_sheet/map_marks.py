"""What is drawn on a piece of the map: greys, isochrones, runs and labels, patches, locks, last place."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch, Polygon
from matplotlib.path import Path
from numpy.typing import NDArray

from optimiser.case.plan_document import MapRun, PlanDocument
from optimiser.run_sheet.headline import is_verified
from optimiser.run_sheet.ink import BLACK, WHITE, wet_greys
from optimiser.run_sheet.isochrones import WetField, levels_min, wet_field
from optimiser.run_sheet.map_pieces import Piece
from optimiser.run_sheet.map_room import POINTS_PER_INCH, Box, MapRoom, Point, text_box
from optimiser.run_sheet.reasons import litres
from optimiser.run_sheet.typeface import BOLD, font_file, printable, shortened
from optimiser.run_sheet.wording import is_short, minutes

LABEL_PT, MINUTE_PT, SMALL_PT, DISC_PT = 11.0, 10.0, 8.5, 19.0
LONGEST_LABEL = 16
_GROUND: dict[str, Any] = {"boxstyle": "round,pad=0.12", "facecolor": WHITE, "edgecolor": "none"}


class Marks:
    """Draws one plan on any number of pieces; what is dear to compute is computed once."""

    def __init__(self, plan: PlanDocument) -> None:
        self._plan = plan
        self._field = wet_field(plan.map)

    def draw(self, axes: Axes, piece: Piece) -> None:
        """Everything that shows in this piece, from the ground up."""
        window = piece.window_mm
        axes.set_xlim(window.x0, window.x1)
        axes.set_ylim(window.y0, window.y1)
        axes.set_axis_off()
        pen = _Pen(axes, piece)
        self._outlines(axes)
        if self._field is not None:
            _wet(axes, self._field)
        for run in self._plan.map.runs:
            pen.run(run, numbered=is_verified(self._plan))  # a plan that may not be used gives no orders
        self._locks(pen)
        self._last(pen)
        for area in self._plan.map.areas:
            pen.area(area.border_mm, shortened(printable(area.name), LONGEST_LABEL))
        if self._field is not None:
            pen.minute_numbers(self._field)

    def _outlines(self, axes: Axes) -> None:
        """The part's edge; what stays unshaded inside it is dry and crossed over."""
        for outline in self._plan.map.outlines:
            polygon = shapely.geometry.polygon.orient(shapely.Polygon(outline.border_mm, outline.holes_mm))
            rings = [
                polygon.exterior,
                *polygon.interiors,
            ]  # turned against each other, so that holes stay empty
            path = Path.make_compound_path(*(Path(np.array(ring.coords), closed=True) for ring in rings))
            axes.add_patch(
                PathPatch(path, facecolor=WHITE, edgecolor=BLACK, hatch="xx", linewidth=0, zorder=0)
            )
            axes.add_patch(PathPatch(path, facecolor="none", edgecolor=BLACK, linewidth=2, zorder=4))

    def _locks(self, pen: _Pen) -> None:
        for region in self._plan.locked:
            pen.pin((region.x_mm, region.y_mm), "X", f"air locked, {litres(region.pore_litres)}")

    def _last(self, pen: _Pen) -> None:
        times = [-1.0 if t is None else t for t in self._plan.map.wet_s]
        if not times or min(times) < 0:
            return  # where some of it stays dry, no place is the last
        last = int(np.argmax(times))
        minute = minutes(times[last], short=is_short(self._plan.wet_out_s))
        pen.pin((self._plan.map.x_mm[last], self._plan.map.y_mm[last]), "^", f"last to wet, min {minute}")


def _wet(axes: Axes, field: WetField) -> None:
    levels = levels_min(field)
    triangles, wet_min = (
        field.triangulation,
        np.nan_to_num(field.wet_min),
    )  # dry corners are masked, yet must be finite
    axes.tricontourf(triangles, wet_min, levels=levels, colors=wet_greys(len(levels) - 1), zorder=1)
    if len(levels) > 2:
        axes.tricontour(triangles, wet_min, levels=levels[1:-1], colors=BLACK, linewidths=0.9, zorder=2)


class _Pen:
    """Draws marks with words on one piece and keeps the words apart."""

    def __init__(self, axes: Axes, piece: Piece) -> None:
        self._axes, self._window = axes, piece.window_mm
        self._pt_per_mm = piece.scale_in_per_mm * POINTS_PER_INCH
        self._room = MapRoom(
            width_pt=piece.page_in.width * POINTS_PER_INCH, height_pt=piece.page_in.height * POINTS_PER_INCH
        )

    def run(self, run: MapRun, *, numbered: bool) -> None:
        """A run with a white rim, its order and its label where most room is, near its middle."""
        xs, ys = [x for x, _ in run.run_mm], [y for _, y in run.run_mm]
        dashes: Any = (0, (2.2, 1.2)) if run.kind == "vent" else "-"
        width = 1.2 if run.order is None else 4.2 if run.kind == "vent" else 3.2
        marker = "s" if len(xs) == 1 else None
        self._axes.plot(xs, ys, color=WHITE, linewidth=width + 2.5, zorder=3)
        self._axes.plot(
            xs,
            ys,
            color=BLACK,
            linewidth=width,
            linestyle=dashes,
            dash_capstyle="butt",
            marker=marker,
            zorder=3.5,
        )
        label = shortened(printable(run.label), LONGEST_LABEL) + (
            "" if run.order is not None else " (stays shut)"
        )
        words = text_box(label, LABEL_PT)
        spots = [self._page(spot) for spot in self._along(run.run_mm)]
        for x, y in spots:
            self._room.avoid(Box(x=x, y=y, width=6, height=6))
        whole = [
            Box(x=x + words.width / 2, y=y, width=words.width + DISC_PT, height=DISC_PT) for x, y in spots
        ]
        box = self._room.least_crowded(whole)
        if box is not None:
            self._room.take(box)
            if numbered and run.order is not None:
                self._order(run.kind, run.order, box.x - words.width / 2, box.y)
            self._words(
                label, box.x + DISC_PT / 2 - words.width / 2 + 1, box.y, LABEL_PT, ha="left", zorder=7
            )

    def _order(self, kind: str, order: int, x: float, y: float) -> None:
        """A disc for a line, a ring for a vent."""
        fill, ink = (BLACK, WHITE) if kind == "line" else (WHITE, BLACK)
        spot = self._part(x, y)
        self._axes.plot(
            *spot,
            "o",
            markersize=DISC_PT,
            markerfacecolor=fill,
            markeredgecolor=BLACK,
            markeredgewidth=2,
            zorder=8,
        )
        self._axes.text(
            *spot,
            str(order),
            ha="center",
            va="center_baseline",
            font=font_file(BOLD),
            fontsize=LABEL_PT,
            color=ink,
            zorder=9,
        )

    def area(self, border_mm: list[Point], name: str) -> None:
        """A dotted border with its name on it, where there is room."""
        edge = Polygon(
            border_mm, closed=True, fill=False, linestyle=":", linewidth=2.2, edgecolor=BLACK, zorder=3
        )
        self._axes.add_patch(edge)
        words = text_box(name, SMALL_PT)
        spots = map(self._page, self._along([*border_mm, border_mm[0]]))
        boxes = [Box(x=x, y=y, width=words.width, height=words.height) for x, y in spots]
        box = self._room.first_free(boxes)
        if box is not None:
            self._room.take(box)
            self._words(name, box.x, box.y, SMALL_PT, ha="center", zorder=6)

    def pin(self, at_mm: Point, marker: str, text: str) -> None:
        """A mark and its words beside it, joined by a hair line."""
        if not self._window.holds(at_mm):
            return
        self._axes.plot(*at_mm, marker, color=BLACK, markeredgecolor=WHITE, markersize=18, zorder=10)
        x, y = self._page(np.array(at_mm))
        self._room.take(Box(x=x, y=y, width=18, height=18))
        words = text_box(text, MINUTE_PT)
        ways = [(side * (words.width / 2 + 14), 0.0) for side in (1, -1)]
        ways += [
            (side * (words.width / 2 + far), up)
            for far in (4, 30)
            for up in (-22, 22, -38, 38, -54, 54)
            for side in (1, -1)
        ]
        box = self._room.least_crowded(
            Box(x=x + dx, y=y + dy, width=words.width, height=words.height) for dx, dy in ways
        )
        if box is not None:
            self._room.take(box)
            self._axes.plot(
                *zip(at_mm, self._part(box.x, box.y), strict=True), color=BLACK, linewidth=1, zorder=6
            )
            self._words(text, box.x, box.y, MINUTE_PT, ha="center", zorder=10)

    def minute_numbers(self, field: WetField) -> None:
        """A number on each piece of each line of equal time, where there is room."""
        levels = levels_min(field)[1:-1]
        if not levels:
            return
        lines = self._axes.tricontour(
            field.triangulation, np.nan_to_num(field.wet_min), levels=levels, linewidths=0, zorder=2
        )
        for level, path in zip(lines.levels, lines.get_paths(), strict=True):
            for line in path.to_polygons(closed_only=False):
                self._numbers_on(np.asarray(line), f"{level:g}")

    def _numbers_on(self, line: NDArray[np.float64], text: str) -> None:
        """Numbers in the thirds of the line, at most three."""
        length = np.linalg.norm(np.diff(line, axis=0), axis=1).sum() * self._pt_per_mm
        words = text_box(text, MINUTE_PT)
        for third in np.array_split(line, 3 if length > 300 else 1):
            spots = sorted(third, key=lambda p: float(np.linalg.norm(p - third[len(third) // 2])))
            boxes = (
                Box(x=x, y=y, width=words.width + 4, height=words.height + 2)
                for x, y in map(self._page, spots)
            )
            box = self._room.first_free(boxes)
            if box is not None:
                self._room.take(box)
                self._words(text, box.x, box.y, MINUTE_PT, ha="center", zorder=5)

    def _words(self, text: str, x: float, y: float, size: float, *, ha: str, zorder: float) -> None:
        self._axes.text(
            *self._part(x, y),
            text,
            ha=ha,
            va="center",
            font=font_file(BOLD),
            fontsize=size,
            color=BLACK,
            zorder=zorder,
            bbox=_GROUND,
            parse_math=False,
        )

    def _along(self, run_mm: list[Point]) -> list[NDArray[np.float64]]:
        """Points of a run that this piece shows, from their middle outwards; none where little shows."""
        run = np.array(run_mm, dtype=float)
        if len(run) == 1:
            return [run[0]] if self._window.holds(tuple(run[0])) else []
        reach = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(run, axis=0), axis=1))])
        at = np.linspace(0.0, reach[-1], 101)
        points = np.column_stack([np.interp(at, reach, run[:, i]) for i in (0, 1)])
        shown = [point for point in points if self._window.holds(tuple(point))]
        if len(shown) < 10:
            return []
        middle = len(shown) // 2
        return sorted(shown, key=lambda p: float(np.linalg.norm(p - shown[middle])))

    def _page(self, at_mm: NDArray[np.float64]) -> Point:
        """Points on the piece, from its lower left corner."""
        return (at_mm[0] - self._window.x0) * self._pt_per_mm, (at_mm[1] - self._window.y0) * self._pt_per_mm

    def _part(self, x_pt: float, y_pt: float) -> Point:
        return self._window.x0 + x_pt / self._pt_per_mm, self._window.y0 + y_pt / self._pt_per_mm
