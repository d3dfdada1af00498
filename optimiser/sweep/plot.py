"""The plot of a sweep: wet-out against the gel limits above, a word and a margin for each setting below; no colour."""

from __future__ import annotations

from typing import Final

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from optimiser.run_sheet.drawing_files import HEIGHT_IN, WIDTH_IN, png_of, svg_of
from optimiser.run_sheet.map_words import write
from optimiser.run_sheet.typeface import printable, shortened
from optimiser.sweep.plot_curves import draw_curves
from optimiser.sweep.plot_squares import draw_squares
from optimiser.sweep.sweep_document import CellState, SweepDocument
from optimiser.sweep.words import STATE_MEANS, STATE_WORDS, course_words, resin_words

_LEFT_IN, _RIGHT_IN, _TOP_IN, _BOTTOM_IN = 1.0, 0.35, 0.5, 0.66
_BETWEEN_IN: Final = 0.32
_ROW_IN, _MOST_ROWS_IN = 0.56, 3.4
_TITLE_LETTERS = 60


def plot_svg(sweep: SweepDocument) -> str:
    """One SVG document."""
    return svg_of(lambda: _figure(sweep))


def plot_png(sweep: SweepDocument) -> bytes:
    """A PNG of the same layout."""
    return png_of(lambda: _figure(sweep))


def _figure(sweep: SweepDocument) -> Figure:
    figure = Figure(figsize=(WIDTH_IN, HEIGHT_IN), facecolor="white")
    rows_in = min(_MOST_ROWS_IN, _ROW_IN * len(sweep.levels_percent))
    above_in = _BOTTOM_IN + rows_in + _BETWEEN_IN
    draw_curves(_axes(figure, above_in, HEIGHT_IN - _TOP_IN - above_in), sweep)
    width_in = WIDTH_IN - _LEFT_IN - _RIGHT_IN
    cell_in = width_in / len(sweep.temperatures_c), rows_in / len(sweep.levels_percent)
    draw_squares(_axes(figure, _BOTTOM_IN, rows_in), sweep, cell_in)
    title = f"Warmer is faster but gels sooner: {shortened(printable(sweep.case_name), _TITLE_LETTERS)}"
    _write(figure, title, HEIGHT_IN - 0.12, size=14, bold=True, va="top")
    for line, text in enumerate(reversed(_key(sweep))):
        _write(figure, text, 0.08 + 0.19 * line, size=10, bold=False, va="center")
    return figure


def _key(sweep: SweepDocument) -> tuple[str, ...]:
    """What the words mean, of those that stand in the plot."""
    shown = {cell.state for cell in sweep.cells}
    short = {
        CellState.HOLDS: "in time, also at the slow end of the spread",
        CellState.TIGHT: "in time, but not at the slow end",
        CellState.LATE: "gels first",
        CellState.FAILS: "locks, stays dry or breaks a rule",
        CellState.NOT_JUDGED: "beyond the data entered",
    }
    says = [f"{STATE_WORDS[state]}: {short[state]}." for state in STATE_MEANS if state in shown]
    return (
        " ".join(says),
        "Number: gel limit less wet-out, min. Double frame: the setting of the case. "
        f"{resin_words(sweep)} The data sheet decides.",
        *([course_words(sweep)] if sweep.at_first_tap else []),
    )


def _axes(figure: Figure, bottom_in: float, height_in: float) -> Axes:
    width_in = WIDTH_IN - _LEFT_IN - _RIGHT_IN
    return figure.add_axes((_LEFT_IN / WIDTH_IN, bottom_in / HEIGHT_IN, width_in / WIDTH_IN, height_in / HEIGHT_IN))


def _write(figure: Figure, text: str, y_in: float, *, size: float, bold: bool, va: str) -> None:
    write(figure, text, WIDTH_IN / 2, y_in, size=size, bold=bold, ha="center", va=va)
