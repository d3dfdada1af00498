"""A family as a drawing: the law as lines, the check values as marks. Black on white, the same bytes each time."""

from __future__ import annotations

import io
from typing import Any

import matplotlib.style
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from benchmarks.checks.rows import CheckRow, law_of
from benchmarks.checks.sweeps import Sweep

LOOK: Any = {"svg.hashsalt": "tapcall", "svg.fonttype": "none", "font.size": 8.0, "path.simplify": False}
STROKES = ("-", "--", ":", "-.")
MARKS = ("o", "s", "^", "D")
POINTS = 41


def drawing(sweep: Sweep, rows: list[CheckRow]) -> str:
    """The SVG text."""
    with matplotlib.style.context(["default", LOOK]):
        figure = Figure(figsize=(4.6, 2.9), layout="constrained")
        axes = figure.add_subplot()
        for case, stroke, mark in zip(sweep.cases, STROKES, MARKS, strict=False):
            _line(axes, sweep, rows, case, stroke=stroke, mark=mark)
        axes.set_xscale("log" if sweep.log_x else "linear")
        axes.set_yscale("log" if sweep.log_y else "linear")
        axes.set_xlabel(sweep.x_label)
        axes.set_ylabel(sweep.y_label)
        axes.legend(frameon=False, fontsize=6.5)
        page = io.StringIO()
        figure.savefig(page, format="svg", metadata={"Date": None, "Creator": None, "Format": None, "Type": None})
    return "\n".join(line.rstrip() for line in page.getvalue().splitlines()) + "\n"


def _line(axes: Axes, sweep: Sweep, rows: list[CheckRow], case: str, *, stroke: str, mark: str) -> None:
    base = next(row for row in rows if row.law == sweep.law and row.case == case)
    law = law_of(base)
    spaced = np.geomspace if sweep.log_x else np.linspace
    places = [float(place) for place in spaced(sweep.low, sweep.high, POINTS)]
    values = [_last(law(**{**base.inputs, sweep.argument: place})) for place in places]
    axes.plot(places, values, stroke, color="black", linewidth=1.0)
    met = [row for row in rows if row.law == sweep.law and _aside(sweep, row) == _aside(sweep, base)]
    ring: Any = {"color": "black", "marker": mark, "markersize": 5, "markerfacecolor": "white"}
    axes.plot(
        [float(row.inputs.get(sweep.argument, sweep.where_missing)) for row in met],
        [_last(row.expected) for row in met],
        linestyle="none",
        **ring,
    )
    axes.plot([], [], linestyle=stroke, linewidth=1.0, label=case, **ring)


def _aside(sweep: Sweep, row: CheckRow) -> dict[str, Any]:
    return {name: value for name, value in row.inputs.items() if name != sweep.argument}


def _last(value: Any) -> float:
    return float(value[-1] if isinstance(value, list | tuple) else value)
