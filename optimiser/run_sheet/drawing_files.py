"""Drawings as files: the same figure gives the same bytes, in threads too."""

from __future__ import annotations

import io
from collections.abc import Callable
from threading import Lock

import matplotlib
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

WIDTH_IN, HEIGHT_IN = 10.9, 7.1
"""A landscape A4 page less its margins and footer."""
DOTS_PER_INCH = 200
_SETTINGS = Lock()
"""matplotlib keeps the SVG salt in a global; two threads may not set it at once."""


def svg_of(draw: Callable[[], Figure]) -> str:
    """One SVG document; letters are outlines, so no font is needed to read it."""
    page = io.BytesIO()
    with _SETTINGS, matplotlib.rc_context({"svg.hashsalt": "tapcall", "svg.fonttype": "path"}):
        figure = draw()
        FigureCanvasSVG(figure)
        figure.savefig(page, format="svg", metadata={"Date": None, "Creator": None, "Format": None, "Type": None})
    return page.getvalue().decode()


def png_of(draw: Callable[[], Figure]) -> bytes:
    """A PNG of the same layout."""
    page = io.BytesIO()
    with _SETTINGS:
        figure = draw()
        FigureCanvasAgg(figure)
        figure.savefig(page, format="png", dpi=DOTS_PER_INCH, metadata={"Software": None})
    return page.getvalue()
