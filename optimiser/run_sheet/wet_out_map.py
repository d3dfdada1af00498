"""The wet-out map: where resin is at which minute, and what stands where, without colour."""

from __future__ import annotations

import io
from threading import Lock

import matplotlib
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.headline import is_verified
from optimiser.run_sheet.map_marks import Marks
from optimiser.run_sheet.map_pieces import extent, lay_out, round_all
from optimiser.run_sheet.map_words import drawing_room, strike_out, write, write_round

WIDTH_IN, HEIGHT_IN = 10.9, 7.1
"""A landscape A4 page less its margins and footer."""
DOTS_PER_INCH = 200
_SETTINGS = Lock()
"""matplotlib keeps the SVG salt in a global; two threads may not set it at once."""


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
    room = drawing_room(plan, WIDTH_IN, HEIGHT_IN)
    pieces = lay_out(extent(plan.map), room)
    marks = Marks(plan, pieces)
    for piece in pieces:
        box = piece.page_in
        place = (box.x0 / WIDTH_IN, box.y0 / HEIGHT_IN, box.width / WIDTH_IN, box.height / HEIGHT_IN)
        marks.draw(figure.add_axes(place), piece)
        write(figure, piece.caption, box.x0, box.y1 + 0.05, size=9.5, bold=True, ha="left", va="bottom")
    write_round(figure, plan)
    if not is_verified(plan):
        strike_out(figure, round_all(pieces))
    return figure
