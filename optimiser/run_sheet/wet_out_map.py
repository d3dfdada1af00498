"""The wet-out map: where resin is at which minute, and what stands where, without colour."""

from __future__ import annotations

import io
from threading import Lock

import matplotlib
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.headline import DO_NOT_INFUSE, is_verified
from optimiser.run_sheet.identity import footer
from optimiser.run_sheet.ink import BLACK
from optimiser.run_sheet.map_marks import Marks
from optimiser.run_sheet.map_pieces import Piece, Window, extent, lay_out
from optimiser.run_sheet.typeface import BOLD, PLAIN, font_file, printable, shortened

WIDTH_IN, HEIGHT_IN = 10.9, 7.1
"""A landscape A4 page less its margins and footer."""
DOTS_PER_INCH = 200
_PAGE = Window(x0=0.1, x1=WIDTH_IN - 0.1, y0=0.66, y1=HEIGHT_IN - 0.36)
_SETTINGS = Lock()
"""matplotlib keeps the SVG salt in a global; two threads may not set it at once."""
_KEY = (
    "Thin line with a number: resin is there at that minute; darker is later; crossed over: stays dry.",
    "Thick line: feed line (disc: its order). Dashed: vent (ring: its order). Dotted: laminate patch. "
    "\u25b2 last to wet. \u2716 air locked.",
)


def wet_out_map_svg(plan: PlanDocument) -> str:
    """The map as one SVG document; letters are outlines, so no font is needed to read it."""
    page = io.BytesIO()
    with _SETTINGS, matplotlib.rc_context({"svg.hashsalt": "tapcall", "svg.fonttype": "path"}):
        figure = _figure(plan)
        FigureCanvasSVG(figure)
        figure.savefig(
            page, format="svg", metadata={"Date": None, "Creator": None, "Format": None, "Type": None}
        )
    return page.getvalue().decode()


def wet_out_map_png(plan: PlanDocument) -> bytes:
    """The map as a PNG of the same layout."""
    page = io.BytesIO()
    with _SETTINGS:
        figure = _figure(plan)
        FigureCanvasAgg(figure)
        figure.savefig(page, format="png", dpi=DOTS_PER_INCH, metadata={"Software": None})
    return page.getvalue()


def _figure(plan: PlanDocument) -> Figure:
    figure = Figure(figsize=(WIDTH_IN, HEIGHT_IN), facecolor="white")
    pieces = lay_out(extent(plan.map), _PAGE)
    marks = Marks(plan)
    for piece in pieces:
        box = piece.page_in
        axes = figure.add_axes(
            (box.x0 / WIDTH_IN, box.y0 / HEIGHT_IN, box.width / WIDTH_IN, box.height / HEIGHT_IN)
        )
        marks.draw(axes, piece)
        _write(figure, piece.caption, box.x0, box.y1 + 0.05, size=9.5, bold=True, ha="left", va="bottom")
    _scale_bar(figure, pieces[0])
    _words(figure, plan)
    return figure


def _scale_bar(figure: Figure, piece: Piece) -> None:
    """A bar of a handy length under the pieces."""
    handy_mm = [10.0**power * step for power in range(6) for step in (1, 2, 5)]
    length_mm = max((size for size in handy_mm if size <= piece.window_mm.width / 5), default=handy_mm[0])
    stop_in = _PAGE.x0 + length_mm * piece.scale_in_per_mm
    ends = [_PAGE.x0 / WIDTH_IN, stop_in / WIDTH_IN]
    bar = Line2D(ends, [0.52 / HEIGHT_IN] * 2, color=BLACK, linewidth=5, solid_capstyle="butt")
    figure.add_artist(bar)
    text = f"{length_mm / 1000:g} m" if length_mm >= 1000 else f"{length_mm:g} mm"
    _write(figure, text, stop_in + 0.08, 0.52, size=11, bold=True, ha="left", va="center")


def _words(figure: Figure, plan: PlanDocument) -> None:
    """Title, key and foot."""
    title, size = f"Wet-out map: {shortened(printable(plan.case_name), 40)}", 14
    if not is_verified(plan):
        title, size = DO_NOT_INFUSE, 24
    _write(figure, title, WIDTH_IN / 2, HEIGHT_IN - 0.05, size=size, bold=True, ha="center", va="top")
    for text, height_in in zip((*_KEY, printable(footer(plan))), (0.40, 0.22, 0.04), strict=True):
        _write(figure, text, WIDTH_IN / 2, height_in, size=8.5, bold=False, ha="center", va="bottom")


def _write(
    figure: Figure, text: str, x_in: float, y_in: float, *, size: float, bold: bool, ha: str, va: str
) -> None:
    figure.text(
        x_in / WIDTH_IN,
        y_in / HEIGHT_IN,
        text,
        ha=ha,
        va=va,
        fontsize=size,
        color=BLACK,
        font=font_file(BOLD if bold else PLAIN),
        parse_math=False,
    )
