"""What is drawn on a piece of the map: greys, isochrones, runs with their labels, patches, locks, last place, scale."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch, Polygon
from matplotlib.path import Path
from numpy.typing import NDArray

from optimiser.case.plan_document import MapRun, PlanDocument
from optimiser.run_sheet.ink import BLACK, WHITE, wet_greys
from optimiser.run_sheet.isochrones import WetField, levels_min, wet_field
from optimiser.run_sheet.map_pieces import Window
from optimiser.run_sheet.reasons import litres
from optimiser.run_sheet.typeface import BOLD, PLAIN, font_file, printable, shortened
from optimiser.run_sheet.wording import is_short, minutes

LABEL_PT = 11
MINUTE_PT = 9
_BOX = {"boxstyle": "round,pad=0.18", "facecolor": WHITE, "edgecolor": "none"}
"""Ground of every word on the map."""

Point = tuple[float, float]


class Marks:
    """Draws the same plan on any number of windows; what is dear to compute is computed once."""

    def __init__(self, plan: PlanDocument) -> None:
        self._plan = plan
        self._field = wet_field(plan.map)
        self._taken: list[Point] = []

    def draw(self, axes: Axes, window: Window, *, scale_bar: bool) -> None:
        """Everything that shows in this window, from the ground up."""
        self._taken = []
        self._outlines(axes)
        if self._field is not None:
            self._wet(axes, self._field)
        self._areas(axes, window)
        for run in self._plan.map.runs:
            self._run(axes, run, window)
        self._locks(axes, window)
        self._last(axes, window)
        if self._field is not None:
            self._minutes(axes, self._field, window)
        if scale_bar:
            _scale_bar(axes, window)

    def _outlines(self, axes: Axes) -> None:
        """The part's edge; what stays unshaded inside it is dry and hatched."""
        for outline in self._plan.map.outlines:
            rings = [outline.border_mm, *outline.holes_mm]
            path = Path.make_compound_path(*(Path([*ring, ring[0]], closed=True) for ring in rings if ring))
            axes.add_patch(PathPatch(path, facecolor=WHITE, edgecolor=BLACK, hatch="xx", linewidth=0, zorder=0))
            axes.add_patch(PathPatch(path, facecolor="none", edgecolor=BLACK, linewidth=1.6, zorder=4))

    def _wet(self, axes: Axes, field: WetField) -> None:
        """Greys and thin lines, clipped to the part."""
        levels = levels_min(field)
        greys = wet_greys(len(levels) - 1)
        axes.tricontourf(field.triangulation, field.wet_min, levels=levels, colors=greys, extend="max", zorder=1)
        axes.tricontour(
            field.triangulation, field.wet_min, levels=levels[1:], colors=BLACK, linewidths=0.7, zorder=2
        )

    def _minutes(self, axes: Axes, field: WetField, window: Window) -> None:
        """A minute number on each line of equal time, away from other words."""
        lines = axes.tricontour(field.triangulation, field.wet_min, levels=levels_min(field)[1:], linewidths=0, zorder=2)
        for level, path in zip(lines.levels, lines.get_paths(), strict=True):
            for piece in path.to_polygons(closed_only=False):
                spot = self._free_spot(np.asarray(piece), window, apart=0.09)
                if spot is not None:
                    _word(axes, spot, f"{level:g}", MINUTE_PT, BOLD, zorder=5)
                    self._taken.append(spot)

    def _free_spot(self, line: NDArray[np.float64], window: Window, *, apart: float) -> Point | None:
        """The point of the line that is farthest from every word so far, if that is far enough."""
        edge = 0.02 * window.width
        inside = line[
            (line[:, 0] > window.x0 + edge) & (line[:, 0] < window.x1 - edge)
            & (line[:, 1] > window.y0 + edge) & (line[:, 1] < window.y1 - edge)
        ]
        if not len(inside):
            return None
        if not self._taken:
            return tuple(inside[len(inside) // 2])
        taken = np.array(self._taken)
        away = np.min(np.linalg.norm(inside[:, None, :] - taken[None, :, :], axis=2), axis=1)
        best = int(np.argmax(away))
        return tuple(inside[best]) if away[best] > apart * window.width else None

    def _areas(self, axes: Axes, window: Window) -> None:
        for area in self._plan.map.areas:
            axes.add_patch(
                Polygon(area.border_mm, closed=True, fill=False, linestyle=":", linewidth=1.8, edgecolor=BLACK, zorder=3)
            )
            corner = min(area.border_mm, key=lambda p: p[0] + p[1])
            if _shows(corner, window):
                _word(axes, corner, shortened(printable(area.name), 24), 7.5, PLAIN, zorder=5, ha="left", va="bottom")

    def _run(self, axes: Axes, run: MapRun, window: Window) -> None:
        """A run with a white rim, its order and its label in the middle of what shows."""
        xs, ys = [x for x, _ in run.run_mm], [y for _, y in run.run_mm]
        dashes: Any = (0, (3, 1.5)) if run.kind == "vent" else "-"
        ends = "butt" if run.kind == "vent" else "round"
        axes.plot(xs, ys, color=WHITE, linewidth=5.5, solid_capstyle="round", zorder=3)
        width = 3.2 if run.order is not None else 1.0
        axes.plot(
            xs, ys, color=BLACK, linewidth=width, linestyle=dashes, zorder=3.5,
            solid_capstyle=ends, dash_capstyle="butt", marker="s" if len(xs) == 1 else None, markersize=8,
        )
        middle = _middle(run.run_mm, window)
        if middle is not None:
            self._run_words(axes, run, middle)

    def _run_words(self, axes: Axes, run: MapRun, middle: Point) -> None:
        label = shortened(printable(run.label), 18)
        axes.annotate(
            label if run.order is not None else f"{label} (shut)", middle, xytext=(9, 0), textcoords="offset points",
            ha="left", va="center", font=font_file(BOLD), fontsize=LABEL_PT, color=BLACK, bbox=_BOX, zorder=7,
        )
        self._taken.append(middle)
        if run.order is None:
            return
        fill, ink = (BLACK, WHITE) if run.kind == "line" else (WHITE, BLACK)
        axes.annotate(
            str(run.order), middle, ha="center", va="center", font=font_file(BOLD), fontsize=LABEL_PT - 1, color=ink,
            bbox={"boxstyle": "circle,pad=0.22", "facecolor": fill, "edgecolor": BLACK, "linewidth": 1.8}, zorder=8,
        )

    def _locks(self, axes: Axes, window: Window) -> None:
        for region in self._plan.locked:
            spot = (region.x_mm, region.y_mm)
            if _shows(spot, window):
                axes.plot(*spot, "X", color=BLACK, markeredgecolor=WHITE, markersize=20, zorder=9)
                self._pin(axes, spot, f"air locked, {litres(region.pore_litres)}")

    def _last(self, axes: Axes, window: Window) -> None:
        """The cell that wets last."""
        times = [(-1.0 if t is None else t) for t in self._plan.map.wet_s]
        if not times or max(times) < 0:
            return
        last = int(np.argmax(times))
        spot = (self._plan.map.x_mm[last], self._plan.map.y_mm[last])
        if _shows(spot, window):
            axes.plot(*spot, "^", color=BLACK, markeredgecolor=WHITE, markersize=14, zorder=9)
            self._pin(axes, spot, f"last to wet, min {minutes(times[last], short=is_short(self._plan.wet_out_s))}")

    def _pin(self, axes: Axes, spot: Point, text: str) -> None:
        """Words beside a mark, on the side where there is room."""
        left, right = axes.get_xlim()
        side = -1 if spot[0] > (left + right) / 2 else 1
        axes.annotate(
            text, spot, xytext=(12 * side, -13), textcoords="offset points", ha="right" if side < 0 else "left",
            va="center", font=font_file(BOLD), fontsize=MINUTE_PT, color=BLACK, bbox=_BOX, zorder=9,
        )
        self._taken.append(spot)


def _word(
    axes: Axes, spot: Point, text: str, size: float, face: str, *, zorder: float, ha: str = "center", va: str = "center"
) -> None:
    axes.text(
        *spot, text, ha=ha, va=va, font=font_file(face), fontsize=size, color=BLACK, zorder=zorder,
        bbox={**_BOX, "boxstyle": "round,pad=0.1"}, clip_on=True,
    )


def _shows(spot: Point, window: Window) -> bool:
    return window.x0 <= spot[0] <= window.x1 and window.y0 <= spot[1] <= window.y1


def _middle(run_mm: list[Point], window: Window) -> Point | None:
    """The point half-way along what the window shows of a run; None where little of it shows."""
    if len(run_mm) == 1:
        return run_mm[0] if _shows(run_mm[0], window) else None
    run = np.array(run_mm, dtype=float)
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(run, axis=0), axis=1))])
    at = np.linspace(0.0, along[-1], 201)
    points = np.column_stack([np.interp(at, along, run[:, i]) for i in (0, 1)])
    shown = [tuple(point) for point in points if _shows(tuple(point), window)]
    return shown[len(shown) // 2] if len(shown) > 20 else None


def _scale_bar(axes: Axes, window: Window) -> None:
    """A bar of a handy length, about an eighth of the window, below the part."""
    handy = [10.0**power * step for power in range(0, 6) for step in (1, 2, 5)]
    length = max((size for size in handy if size <= window.width / 6), default=handy[0])
    x, y = window.x0 + 0.01 * window.width, window.y0 + 0.025 * window.height
    axes.plot([x, x + length], [y, y], color=BLACK, linewidth=4, solid_capstyle="butt", zorder=9)
    text = f"{length / 1000:g} m" if length >= 1000 else f"{length:g} mm"
    axes.text(x + length + 0.008 * window.width, y, text, va="center", font=font_file(BOLD), fontsize=10, zorder=9)
