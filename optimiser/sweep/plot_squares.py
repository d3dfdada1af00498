"""A square for each setting: margin and word, with hatch where the sequence must not be shot."""

from __future__ import annotations

from typing import Any

from matplotlib.axes import Axes
from matplotlib.patches import Rectangle

from optimiser.run_sheet.ink import BLACK, NEAR_BLACK, TINT, WHITE
from optimiser.run_sheet.typeface import BOLD, PLAIN, font_file
from optimiser.sweep.sweep_document import CellState, SweepCell, SweepDocument
from optimiser.sweep.words import signed_margin, state_word

_HATCHES = {CellState.LATE: "///", CellState.FAILS: "xxx", CellState.TIGHT: ".."}
_GROUND: dict[str, Any] = {"boxstyle": "square,pad=0.18", "facecolor": WHITE, "edgecolor": "none"}
_WIDEST_LETTERS = 7.5
"""Of "+123.4" in bold, with room at both sides, in widths of 0.7 of the type size."""


def draw_squares(axes: Axes, sweep: SweepDocument, cell_in: tuple[float, float]) -> None:
    """Columns are temperatures, rows levels, the least on top, as its limit is highest above."""
    columns, rows = len(sweep.temperatures_c), len(sweep.levels_percent)
    axes.set_xlim(-0.5, columns - 0.5)
    axes.set_ylim(rows - 0.5, -0.5)
    size = _type_size(cell_in)
    for column, each_c in enumerate(sweep.temperatures_c):
        for row, level in enumerate(sweep.levels_percent):
            _square(axes, sweep.cell(each_c, level), column, row, size)
    _heads(axes, sweep)
    for side in axes.spines.values():
        side.set_visible(False)
    axes.tick_params(length=0)


def _heads(axes: Axes, sweep: SweepDocument) -> None:
    axes.xaxis.set_ticks_position("top")
    degrees = [f"{each_c:g} °C" for each_c in sweep.temperatures_c]
    levels = [f"{level:g} %" for level in sweep.levels_percent]
    small = 11.0 if len(degrees) < 9 else 9.0
    axes.set_xticks(range(len(degrees)), degrees, font=font_file(BOLD), fontsize=small)
    axes.set_yticks(range(len(levels)), levels, font=font_file(BOLD), fontsize=12)
    axes.set_ylabel("initiator", font=font_file(BOLD), fontsize=11)


def _type_size(cell_in: tuple[float, float]) -> float:
    """Margin and word one above the other."""
    width_in, height_in = cell_in
    return min(15.0, 72 * width_in / (0.7 * _WIDEST_LETTERS), 72 * height_in / 2.9)


def _square(axes: Axes, cell: SweepCell, column: int, row: int, size: float) -> None:
    axes.add_patch(
        Rectangle(
            (column - 0.5, row - 0.5),
            1,
            1,
            facecolor=TINT if cell.state is CellState.NOT_JUDGED else WHITE,
            edgecolor=BLACK,
            linewidth=0.8,
            hatch=_HATCHES.get(cell.state),
        )
    )
    if cell.own:
        for inset, width in ((0.03, 3.0), (0.085, 1.2)):
            axes.add_patch(
                Rectangle(
                    (column - 0.5 + inset, row - 0.5 + inset),
                    1 - 2 * inset,
                    1 - 2 * inset,
                    fill=False,
                    edgecolor=BLACK,
                    linewidth=width,
                )
            )
    good = cell.state is CellState.HOLDS
    margin = signed_margin(cell)
    axes.text(
        column,
        row,
        f"{margin}\n{state_word(cell)}" if margin else state_word(cell),
        ha="center",
        va="center",
        linespacing=1.05,
        color=BLACK if margin else NEAR_BLACK,
        font=font_file(BOLD if good or margin else PLAIN),
        fontsize=size if margin else 0.8 * size,
        bbox=None if good or cell.state is CellState.NOT_JUDGED else _GROUND,
    )
