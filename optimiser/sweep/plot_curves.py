"""Wet-out and the gel limit of each initiator level over temperature; the gap between them is the margin."""

from __future__ import annotations

import math
from itertools import accumulate
from typing import Any, Final

from matplotlib.axes import Axes

from optimiser.run_sheet.ink import BLACK, WHITE
from optimiser.run_sheet.typeface import BOLD, PLAIN, font_file
from optimiser.sweep.sweep_document import SweepCell, SweepDocument, slowest
from optimiser.units import min_from_s

_DASHES: Final = ("-", (0, (6, 2)), (0, (2, 1.5)), (0, (6, 2, 1.5, 2)))
_LEAST_APART = 0.065
"""Of the height: names of lines stand at least this far apart."""
_ROOM_ABOVE = 1.12
_SAYS = (
    "Thick line with discs: wet-out; bar: up to the slow end of the spread.\n"
    "Thin lines: gel limit at each level of initiator, heavier at the case's own.\n"
    "The gap between is the margin."
)
_GROUND: dict[str, Any] = {"boxstyle": "square,pad=0.1", "facecolor": WHITE, "edgecolor": "none"}


def draw_curves(axes: Axes, sweep: SweepDocument) -> None:
    """Each temperature has a column, the same as in the squares below."""
    count = len(sweep.temperatures_c)
    axes.set_xlim(-0.5, count - 0.5)
    axes.set_xticks(range(count), [""] * count)
    axes.grid(axis="y", color=BLACK, linewidth=0.3, alpha=0.4)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    axes.set_ylabel("minutes from the start", font=font_file(BOLD), fontsize=11)
    axes.set_ylim(0, _ROOM_ABOVE * _highest_min(sweep))
    starts = [_limit(axes, sweep, place) for place in range(len(sweep.levels_percent))]
    _wet_out(axes, sweep)
    _name(axes, [start for start in starts if start is not None])
    for text in axes.get_yticklabels():
        text.set(font=font_file(PLAIN), fontsize=11)
    axes.text(
        0.995,
        0.99,
        _SAYS,
        transform=axes.transAxes,
        ha="right",
        va="top",
        font=font_file(PLAIN),
        fontsize=10,
        bbox=_GROUND,
    )


def _highest_min(sweep: SweepDocument) -> float:
    times = (time_s for cell in sweep.cells for time_s in (cell.gel_limit_s, _latest_s(cell)) if time_s is not None)
    return max(map(min_from_s, times), default=1.0)


def _limit(axes: Axes, sweep: SweepDocument, place: int) -> tuple[float, float, str] | None:
    """The line of one level; where it starts on the left, and its name."""
    level = sweep.levels_percent[place]
    points = [
        (column, min_from_s(limit_s))
        for column, each_c in enumerate(sweep.temperatures_c)
        if (limit_s := sweep.cell(each_c, level).gel_limit_s) is not None
    ]
    if not points:
        return None
    x, y = zip(*points, strict=True)
    own = level == sweep.own.initiator_percent
    axes.plot(x, y, color=BLACK, linewidth=2.4 if own else 1.2, linestyle=_DASHES[place % len(_DASHES)], marker="_")
    return x[0], y[0], f"{level:g} %"


def _wet_out(axes: Axes, sweep: SweepDocument) -> None:
    """Where the part never gets all wet the line is broken."""
    rows = [[sweep.cell(each_c, level) for level in sweep.levels_percent] for each_c in sweep.temperatures_c]
    wet = [slowest([cell for cell in row if cell.wet_out_s is not None]) for row in rows]
    x = range(len(rows))
    wet_min = [math.nan if cell is None or cell.wet_out_s is None else min_from_s(cell.wet_out_s) for cell in wet]
    latest_s = [None if cell is None else _latest_s(cell) for cell in wet]
    latest_min = [math.nan if time_s is None else min_from_s(time_s) for time_s in latest_s]
    axes.plot(x, wet_min, color=BLACK, linewidth=3.2, marker="o", markersize=8)
    axes.vlines(x, wet_min, latest_min, color=BLACK, linewidth=1.6)
    axes.plot(x, latest_min, color=BLACK, linewidth=0, marker="_", markersize=14, markeredgewidth=2)


def _name(axes: Axes, starts: list[tuple[float, float, str]]) -> None:
    """Names of the levels left of their lines, where these are furthest apart; moved where they still are too close.

    Moved up only and moved down only, both keep their distance, and so does the mean of the two.
    """
    least = _LEAST_APART * axes.get_ylim()[1]
    ordered = sorted(starts, key=lambda start: start[1])
    up = list(accumulate((y for _, y, _ in ordered), lambda below, y: max(y, below + least)))
    down = list(accumulate((y for _, y, _ in reversed(ordered)), lambda above, y: min(y, above - least)))
    for (x, _, name), high, low in zip(ordered, up, reversed(down), strict=True):
        at = (high + low) / 2
        axes.text(x - 0.1, at, name, va="center", ha="right", font=font_file(BOLD), fontsize=10, bbox=_GROUND)


def _latest_s(cell: SweepCell) -> float | None:
    return cell.wet_out_s if cell.latest_wet_out_s is None else cell.latest_wet_out_s
