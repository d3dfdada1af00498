"""The wet-out map: where resin is at which minute, and what stands where. Greys and line kinds only, no colour."""

from __future__ import annotations

import io
from threading import Lock
from typing import Any

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.headline import DO_NOT_INFUSE, is_verified
from optimiser.run_sheet.identity import footer
from optimiser.run_sheet.ink import BLACK
from optimiser.run_sheet.map_marks import LABEL_PT, Marks
from optimiser.run_sheet.map_pieces import Pieces, Window, cut, extent
from optimiser.run_sheet.typeface import BOLD, PLAIN, font_file, printable, shortened

WIDTH_IN, HEIGHT_IN = 10.9, 7.1
"""A landscape A4 page less its margins and footer."""
DOTS_PER_INCH = 200
_HEAD, _FOOT, _SIDE = 0.065, 0.085, 0.008
"""Shares of the figure for the title, for the key and at each side."""
_SETTINGS = Lock()
"""matplotlib keeps the SVG salt in a global; two threads may not set it at once."""
_KEY = (
    "white: wet first, darker: wet later   thin line + number: minute from the start   thick line: feed line   "
    "dashed: vent   dotted: laminate patch   number in a disc (line) or ring (vent): order in the tap table   "
    "\u25b2 last place to wet   \u2716 air locked"
)


def wet_out_map_svg(plan: PlanDocument) -> str:
    """The map as one SVG document; letters are outlines, so no font is needed to read it."""
    return _drawn(plan, FigureCanvasSVG, "svg", {"Date": None, "Creator": None, "Format": None, "Type": None}).decode()


def wet_out_map_png(plan: PlanDocument) -> bytes:
    """The map as a PNG of the same layout."""
    return _drawn(plan, FigureCanvasAgg, "png", {"Software": None})


def _drawn(plan: PlanDocument, canvas: type[Any], kind: str, metadata: dict[str, None]) -> bytes:
    page = io.BytesIO()
    settings = {"svg.hashsalt": "tapcall", "svg.fonttype": "path", "path.simplify": True}
    with _SETTINGS, matplotlib.rc_context(settings):
        figure = _figure(plan)
        canvas(figure)
        figure.savefig(page, format=kind, dpi=DOTS_PER_INCH, metadata=metadata)
    return page.getvalue()


def _figure(plan: PlanDocument) -> Figure:
    figure = Figure(figsize=(WIDTH_IN, HEIGHT_IN), facecolor="white")
    room = Window(x0=_SIDE, x1=1 - _SIDE, y0=_FOOT, y1=1 - _HEAD)
    aspect = room.width * WIDTH_IN / (room.height * HEIGHT_IN)
    pieces = cut(extent(plan.map), page_aspect=aspect)
    marks = Marks(plan)
    boxes = _boxes(pieces, room)
    for number, (window, box) in enumerate(zip(pieces.windows, boxes, strict=True), 1):
        axes = _axes(figure, window, box)
        marks.draw(axes, window, scale_bar=number == len(boxes))
        if len(boxes) > 1:
            _caption(axes, window, number, len(boxes), stacked=pieces.stacked)
    _words(figure, plan)
    return figure


def _boxes(pieces: Pieces, room: Window) -> list[tuple[float, float, float, float]]:
    """Left, bottom, width, height of each piece on the page, as shares of the figure."""
    count = len(pieces.windows)
    gap = 0.0 if count == 1 else 0.035
    if pieces.stacked:
        height = (room.height - gap * (count - 1)) / count
        return [(room.x0, room.y1 - height - i * (height + gap), room.width, height) for i in range(count)]
    width = (room.width - gap * (count - 1)) / count
    return [(room.x0 + i * (width + gap), room.y0, width, room.height) for i in range(count)]


def _axes(figure: Figure, window: Window, box: tuple[float, float, float, float]) -> Axes:
    axes = figure.add_axes(box)
    axes.set_xlim(window.x0, window.x1)
    axes.set_ylim(window.y0, window.y1)
    axes.set_aspect("equal")
    axes.set_axis_off()
    return axes


def _caption(axes: Axes, window: Window, number: int, count: int, *, stacked: bool) -> None:
    way, start, stop = ("x", window.x0, window.x1) if stacked else ("y", window.y0, window.y1)
    axes.text(
        0.5, 1.0, f"piece {number} of {count}: {way} from {start / 1000:.1f} to {stop / 1000:.1f} m",
        transform=axes.transAxes, ha="center", va="bottom", font=font_file(PLAIN), fontsize=9, color=BLACK,
    )


def _words(figure: Figure, plan: PlanDocument) -> None:
    """Title, key and foot."""
    title = shortened(printable(plan.case_name), 60)
    if is_verified(plan):
        figure.text(0.5, 0.99, f"Wet-out map: {title}", ha="center", va="top", font=font_file(BOLD), fontsize=13)
    else:
        figure.text(0.5, 0.995, DO_NOT_INFUSE, ha="center", va="top", font=font_file(BOLD), fontsize=22)
    half = _KEY.index("dashed")
    for text, y in ((_KEY[:half], 0.055), (_KEY[half:], 0.031), (printable(footer(plan)), 0.007)):
        figure.text(0.5, y, text.strip(), ha="center", va="bottom", font=font_file(PLAIN), fontsize=8)
