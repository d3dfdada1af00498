"""Where the bag gives: thickness and fibre content when all is wet as two drawings, after the hold in words."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

import numpy as np
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from optimiser.case.plan_document import PlanDocument
from optimiser.case.thickness_document import AreaThickness
from optimiser.run_sheet.drawing_files import HEIGHT_IN, WIDTH_IN, png_of, svg_of
from optimiser.run_sheet.headline import is_verified
from optimiser.run_sheet.identity import footer
from optimiser.run_sheet.isochrones import CellField, cell_field
from optimiser.run_sheet.map_edges import draw_edges
from optimiser.run_sheet.map_field import draw_outlines, number_lines, shade
from optimiser.run_sheet.map_pen import Pen
from optimiser.run_sheet.map_pieces import Piece, Window, extent, lay_out, round_all
from optimiser.run_sheet.map_runs import draw_discs, draw_names
from optimiser.run_sheet.map_words import FOOT_IN, KEY_LINE_IN, TITLE_IN, strike_out, vent_words, write
from optimiser.run_sheet.typeface import printable

_MOST_LEVELS = 7
_HEAD_IN = 0.27
"""Height of the line of words over each drawing."""
_KEY_LETTERS = 165
_MOST_AREAS = 8
"""Areas whose thickness after the hold is named on the drawing; the plan has them all."""
_FIELDS = (("Thickness when all is wet, mm", "mm"), ("Fibre content by volume when all is wet, %", "%"))


def has_thickness_map(plan: PlanDocument) -> bool:
    """Where the bag gives, in a plan that kept the thickness of each cell."""
    return plan.map.wet_thickness_mm is not None


def thickness_map_svg(plan: PlanDocument) -> str:
    """The drawing as one SVG document."""
    return svg_of(lambda: _figure(plan))


def thickness_map_png(plan: PlanDocument) -> bytes:
    """The drawing as a PNG of the same layout."""
    return png_of(lambda: _figure(plan))


def held_words(areas: Sequence[AreaThickness]) -> str:
    """What each area comes down to in the hold: one thickness all over, that of the dry stack."""
    said = [
        f"{printable(area.name)} {area.held_mm:.2f} mm, fibre {area.held_fibre_volume_percent:.0f} %"
        for area in areas[:_MOST_AREAS]
    ]
    more = [] if len(areas) <= _MOST_AREAS else [f"{len(areas) - _MOST_AREAS} more in the plan"]
    return "; ".join([*said, *more])


def _figure(plan: PlanDocument) -> Figure:
    figure = Figure(figsize=(WIDTH_IN, HEIGHT_IN), facecolor="white")
    key = _key_lines(plan)
    room = Window(x0=0.1, x1=WIDTH_IN - 0.1, y0=FOOT_IN + KEY_LINE_IN * len(key) + 0.1, y1=HEIGHT_IN - TITLE_IN)
    pieces: list[Piece] = []
    columns = (plan.map.wet_thickness_mm or [], plan.map.wet_fibre_volume_percent or [])
    for half, column, (says, unit) in zip(_halves(extent(plan.map), room), columns, _FIELDS, strict=True):
        write(figure, says, half.x0 + 0.05, half.y1 - 0.03, size=10, bold=True, ha="left", va="top")
        below = Window(x0=half.x0, x1=half.x1, y0=half.y0, y1=half.y1 - _HEAD_IN)
        laid = lay_out(extent(plan.map), below)
        _draw(figure, plan, laid, cell_field(plan.map, column), unit)
        pieces += laid
    _write_round(figure, plan, key)
    if not is_verified(plan):
        strike_out(figure, round_all(pieces))
    return figure


def _halves(whole: Window, room: Window) -> tuple[Window, Window]:
    """One above the other for a part that lies, side by side for one that stands."""
    if whole.width >= whole.height:
        middle = (room.y0 + room.y1) / 2
        return (
            Window(x0=room.x0, x1=room.x1, y0=middle, y1=room.y1),
            Window(x0=room.x0, x1=room.x1, y0=room.y0, y1=middle),
        )
    middle = (room.x0 + room.x1) / 2
    return (
        Window(x0=room.x0, x1=middle, y0=room.y0, y1=room.y1),
        Window(x0=middle, x1=room.x1, y0=room.y0, y1=room.y1),
    )


def _draw(figure: Figure, plan: PlanDocument, pieces: list[Piece], field: CellField | None, unit: str) -> None:
    levels = [] if field is None else _levels(field)
    for piece in pieces:
        box, window = piece.page_in, piece.window_mm
        axes = figure.add_axes((box.x0 / WIDTH_IN, box.y0 / HEIGHT_IN, box.width / WIDTH_IN, box.height / HEIGHT_IN))
        axes.set_xlim(window.x0, window.x1)
        axes.set_ylim(window.y0, window.y1)
        axes.set_axis_off()
        pen = Pen(axes, piece)
        draw_outlines(axes, plan.map.outlines)
        draw_edges(pen)
        if field is not None:
            shade(axes, field, levels)
        discs = draw_discs(pen, plan.map.runs, pieces, numbered=False)
        draw_names(pen, plan.map.runs, pieces, discs, numbered=False)
        if field is not None:
            number_lines(pen, field, levels[1:-1], unit=unit)


def _levels(field: CellField) -> list[float]:
    """Handy values from below the least to above the greatest of what is drawn."""
    shown = field.values[np.unique(field.triangulation.get_masked_triangles())]
    least, most = float(shown.min()), float(shown.max())
    room = 0.0 if most > least else 0.5
    steps = MaxNLocator(nbins=_MOST_LEVELS, steps=[1, 2, 2.5, 5, 10])
    return [round(float(level), 6) for level in steps.tick_values(least - room, most + room)]


def _key_lines(plan: PlanDocument) -> list[str]:
    says = [
        "Line with a number: that much; darker is more.",
        *(["Crossed over: dry, or of one thickness."] if None in (plan.map.wet_thickness_mm or []) else []),
        "Thick line: feed line.",
        *vent_words(plan.map.runs, numbered=False),
        "Along the edges: metres.",
        "With taps shut and vents OPEN until the resin is down to the vacuum, the same all over:",
        f"{held_words(plan.thickness)}.",
        "Vents clamped, or gel before that, keep some of the rest.",
        "Computed, not measured: the drawing of the part says what is wanted.",
    ]
    return textwrap.wrap(" ".join(says), _KEY_LETTERS)


def _write_round(figure: Figure, plan: PlanDocument, key: list[str]) -> None:
    middle_in = WIDTH_IN / 2
    title = f"Thickness map, NOT FOR THE SHOT: {printable(plan.case_name)}"
    write(figure, title, middle_in, HEIGHT_IN - 0.05, size=14, bold=True, ha="center", va="top")
    write(figure, printable(footer(plan)), middle_in, 0.04, size=8.5, bold=False, ha="center", va="bottom")
    for number, text in enumerate(reversed(key)):
        y_in = FOOT_IN + number * KEY_LINE_IN
        write(figure, text, middle_in, y_in, size=9, bold=False, ha="center", va="bottom")
