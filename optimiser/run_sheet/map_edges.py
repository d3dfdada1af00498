"""Which way x and y run, and metres along the edges of a piece of the map."""

from __future__ import annotations

import numpy as np

from optimiser.run_sheet.ink import BLACK
from optimiser.run_sheet.map_pen import Pen
from optimiser.run_sheet.map_room import Point
from optimiser.run_sheet.typeface import BOLD, PLAIN, font_file

NUMBER_PT = 8.5
MOST_NUMBERS, MOST_TICKS = 8, 60
"""Along one edge."""
_TICK_PT, _NUMBER_OFF_PT, _ARROW_OFF_PT, _ARROW_PT = 5.0, 12.0, 23.0, 40.0


def draw_edges(pen: Pen) -> None:
    """Ticks at every metre below and to the left, numbers on some, and an arrow for each way in the corner."""
    window = pen.window
    _edge(pen, (window.x0, window.x1), upright=False)
    _edge(pen, (window.y0, window.y1), upright=True)
    for name, tip in (("x", (_ARROW_PT, 0.0)), ("y", (0.0, _ARROW_PT))):
        start = (-_ARROW_OFF_PT, -_ARROW_OFF_PT)
        end = (start[0] + tip[0], start[1] + tip[1])
        pen.axes.annotate(
            "",
            xy=pen.part(*end),
            xytext=pen.part(*start),
            arrowprops={"arrowstyle": "-|>", "color": BLACK, "linewidth": 1.6, "shrinkA": 0, "shrinkB": 0},
            annotation_clip=False,
            zorder=5,
        )
        _text(pen, name, (end[0] + tip[0] * 0.14, end[1] + tip[1] * 0.14), bold=True)


def _edge(pen: Pen, ends_mm: Point, *, upright: bool) -> None:
    tick_mm, number_mm = steps_mm(ends_mm[1] - ends_mm[0])
    _rule(pen, 0.0, (ends_mm[1] - ends_mm[0]) * pen.pt_per_mm, 0.0, upright=upright, along=True)
    for at_mm in _multiples(ends_mm, tick_mm):
        _rule(pen, 0.0, -_TICK_PT, (at_mm - ends_mm[0]) * pen.pt_per_mm, upright=upright, along=False)
    numbered = _multiples(ends_mm, number_mm)
    for at_mm in numbered:
        along = (at_mm - ends_mm[0]) * pen.pt_per_mm
        unit = " m" if at_mm == numbered[-1] and not upright else ""
        spot = (-_NUMBER_OFF_PT, along) if upright else (along, -_NUMBER_OFF_PT)
        _text(pen, f"{at_mm / 1000:g}{unit}", spot, bold=False)


def steps_mm(length_mm: float) -> tuple[float, float]:
    """From tick to tick, and from number to number: whole metres, tenths on a part shorter than one."""
    tick_mm = 1_000.0 if length_mm >= 1_000 else 100.0
    handy_mm = [tick_mm * step * 10**power for power in range(5) for step in (1, 2, 5)]
    number_mm = next((step for step in handy_mm if length_mm <= MOST_NUMBERS * step), handy_mm[-1])
    return (tick_mm if length_mm <= MOST_TICKS * tick_mm else number_mm), number_mm


def _multiples(ends_mm: Point, step_mm: float) -> list[float]:
    first, last = np.ceil(ends_mm[0] / step_mm), np.floor(ends_mm[1] / step_mm)
    return [float(step_mm * i) + 0.0 for i in np.arange(first, last + 1)]


def _rule(pen: Pen, start_pt: float, stop_pt: float, at_pt: float, *, upright: bool, along: bool) -> None:
    """A hair line along an edge, or out from it."""
    ends = [(pt, at_pt) if along != upright else (at_pt, pt) for pt in (start_pt, stop_pt)]
    xs, ys = zip(*(pen.part(*end) for end in ends), strict=True)
    pen.axes.plot(xs, ys, color=BLACK, linewidth=0.8, zorder=1.5, clip_on=False)


def _text(pen: Pen, text: str, spot_pt: Point, *, bold: bool) -> None:
    pen.axes.text(
        *pen.part(*spot_pt),
        text,
        ha="center",
        va="center",
        font=font_file(BOLD if bold else PLAIN),
        fontsize=NUMBER_PT + 2 * bold,
        color=BLACK,
        zorder=5,
    )
