"""Pressure at the manifold and at both ends of every opened line over the shot: for who lays the hoses."""

from __future__ import annotations

import textwrap
from itertools import accumulate
from typing import Any, Final

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from optimiser.case.plan_document import LineResult, PlanDocument
from optimiser.run_sheet.drawing_files import HEIGHT_IN, WIDTH_IN, svg_of
from optimiser.run_sheet.identity import footer
from optimiser.run_sheet.ink import BLACK, WHITE
from optimiser.run_sheet.map_words import KEY_LINE_IN, write
from optimiser.run_sheet.typeface import BOLD, PLAIN, font_file, printable
from optimiser.units import min_from_s

_LEFT_IN, _RIGHT_IN, _TOP_IN, _BOTTOM_IN, _BETWEEN_IN = 0.85, 1.25, 0.7, 1.2, 0.45
_LEAST_APART = 0.055
"""Of the height: names of lines stand at least this far apart."""
_DASHES: Final = ("-", (0, (6, 2)), (0, (2, 1.5)), (0, (6, 2, 1.5, 2)))
_KEY_LETTERS = 150
_KEY = (
    "Absolute pressures as planned, from the opening of each tap to the end of the run; the end of a line that gets "
    "less counts as its far end. What falls off between manifold and inlet is lost in the hoses, between inlet and far "
    "end in the line: a larger bore, a second hose or a feed in the middle gives it back. Heights are in it: 100 mm of "
    "resin are about 11 mbar."
)
_GROUND: dict[str, Any] = {"boxstyle": "square,pad=0.1", "facecolor": WHITE, "edgecolor": "none"}


def pressure_plot_svg(plan: PlanDocument) -> str:
    """One SVG document."""
    return svg_of(lambda: _figure(plan))


def _figure(plan: PlanDocument) -> Figure:
    figure = Figure(figsize=(WIDTH_IN, HEIGHT_IN), facecolor="white")
    title = f"Pressure at manifold and lines, NOT FOR THE SHOT: {printable(plan.case_name)}"
    write(figure, title, WIDTH_IN / 2, HEIGHT_IN - 0.12, size=14, bold=True, ha="center", va="top")
    each_in = (HEIGHT_IN - _TOP_IN - _BOTTOM_IN - _BETWEEN_IN) / 2
    inlets = _axes(figure, _BOTTOM_IN + each_in + _BETWEEN_IN, each_in)
    far_ends = _axes(figure, _BOTTOM_IN, each_in)
    time_min = [min_from_s(at_s) for at_s in plan.consumption.time_s]
    for axes, far in ((inlets, False), (far_ends, True)):
        says = "Far ends, mbar abs" if far else "Manifold (thick) and inlets, mbar abs"
        axes.set_title(says, loc="left", font=font_file(BOLD), fontsize=11)
        axes.set_xlim(0.0, max(time_min, default=1.0) or 1.0)
        axes.set_ylim(0.0, _highest_mbar(plan))
        if not far:
            axes.plot(time_min, plan.consumption.manifold_mbar_abs, color=BLACK, linewidth=3.2)
        _lines(axes, plan.lines, far=far)
    far_ends.set_xlabel("minutes from the first tap", font=font_file(PLAIN), fontsize=11)
    for number, text in enumerate(reversed(textwrap.wrap(_KEY, _KEY_LETTERS))):
        write(figure, text, WIDTH_IN / 2, 0.24 + number * KEY_LINE_IN, size=9, bold=False, ha="center", va="bottom")
    write(figure, printable(footer(plan)), WIDTH_IN / 2, 0.04, size=8.5, bold=False, ha="center", va="bottom")
    return figure


def _axes(figure: Figure, bottom_in: float, height_in: float) -> Axes:
    width_in = WIDTH_IN - _LEFT_IN - _RIGHT_IN
    axes = figure.add_axes((_LEFT_IN / WIDTH_IN, bottom_in / HEIGHT_IN, width_in / WIDTH_IN, height_in / HEIGHT_IN))
    axes.grid(color=BLACK, linewidth=0.3, alpha=0.4)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    for text in (*axes.get_xticklabels(), *axes.get_yticklabels()):
        text.set(font=font_file(PLAIN), fontsize=10)
    return axes


def _highest_mbar(plan: PlanDocument) -> float:
    inlets = (value for line in plan.lines if line.pressure is not None for value in line.pressure.inlet_mbar_abs)
    return 1.05 * max((*plan.consumption.manifold_mbar_abs, *inlets), default=1.0)


def _lines(axes: Axes, lines: list[LineResult], *, far: bool) -> None:
    """Names stand right of the last values, moved where they would be too close."""
    ends = []
    for place, line in enumerate(lines):
        if line.pressure is None:
            continue
        mbar = line.pressure.far_end_mbar_abs if far else line.pressure.inlet_mbar_abs
        time_min = [min_from_s(at_s) for at_s in line.pressure.time_s]
        axes.plot(time_min, mbar, color=BLACK, linewidth=1.3, linestyle=_DASHES[place % len(_DASHES)], marker=".")
        ends.append((time_min[-1], mbar[-1], printable(line.label)))
    ends.sort(key=lambda end: end[1])
    highest = axes.get_ylim()[1]
    places = apart([y for _, y, _ in ends], least=min(_LEAST_APART, 1 / (len(ends) + 1)) * highest, highest=highest)
    for (x, y, name), beside in zip(ends, places, strict=True):
        axes.annotate(
            name,
            (x, y),
            (1.02, beside),
            textcoords=axes.get_yaxis_transform(),
            va="center",
            annotation_clip=False,
            font=font_file(BOLD),
            fontsize=9,
            bbox=_GROUND,
            arrowprops={"arrowstyle": "-", "linewidth": 0.5, "color": BLACK},
        )


def apart(values: list[float], *, least: float, highest: float) -> list[float]:
    """Rising values moved as little as keeps them so far apart, all of them between 0 and the highest."""
    up = list(accumulate(values, lambda below, y: max(y, below + least)))
    down = list(accumulate(reversed(values), lambda above, y: min(y, above - least)))[::-1]
    middle = [(high + low) / 2 for high, low in zip(up, down, strict=True)]
    lowered = list(accumulate([highest, *reversed(middle)], lambda above, y: min(y, above - least)))[:0:-1]
    return list(accumulate([0.0, *lowered], lambda below, y: max(y, below + least)))[1:]
