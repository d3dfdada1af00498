"""Building blocks of the PDF pages: paragraphs in the sheet's typeface, tick boxes, order numbers, tables."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.colors import HexColor
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import Flowable, Paragraph, Table, TableStyle

from optimiser.run_sheet import ink
from optimiser.run_sheet.typeface import BOLD, PLAIN, printable, shortened

LONGEST_TEXT = 600
BODY_PT = 10.5
BLACK, WHITE, TINT = HexColor(ink.BLACK), HexColor(ink.WHITE), HexColor(ink.TINT)
RULE = 0.7

Cell = Any
"""Whatever reportlab takes in a table cell."""


def words(text: str, size: float = BODY_PT, *, bold: bool = False, white: bool = False) -> Paragraph:
    """A paragraph of plain text; no mark-up in the text is obeyed."""
    return marked(plain(text), size, bold=bold, white=white)


def marked(
    markup: str, size: float = BODY_PT, *, bold: bool = False, white: bool = False, leading: float | None = None
) -> Paragraph:
    """A paragraph of our own mark-up; texts of the plan go in through `plain` only.

    leading: from line to line in points, where the lines hold more than plain text.
    """
    style = ParagraphStyle(
        "sheet",
        fontName=BOLD if bold else PLAIN,
        fontSize=size,
        leading=leading or 1.22 * size,
        textColor=WHITE if white else BLACK,
        splitLongWords=1,
    )
    return Paragraph(markup, style)


def plain(text: str) -> str:
    """Printable, of bearable length, and safe inside mark-up."""
    return escape(shortened(printable(text), LONGEST_TEXT))


def fitted(text: str, width: float, *, largest: float, smallest: float, height: float | None = None) -> Paragraph:
    """Bold words as large as fits without tearing a word, on one line or on as many as `height` holds."""
    shown = shortened(printable(text), LONGEST_TEXT)
    widest = max((stringWidth(word, BOLD, 1.0) for word in shown.split()), default=0.0)
    size = largest
    while size > smallest:
        made = marked(escape(shown), size, bold=True)
        _, needed = made.wrap(width, PAGE)
        if widest * size <= width and needed <= (height or 1.3 * size):
            return made
        size *= 0.94
    return marked(escape(shown), smallest, bold=True)


class TickBox(Flowable):
    """An empty square to tick."""

    def __init__(self, side: float = 8 * mm) -> None:
        super().__init__()
        self.width = self.height = side

    def draw(self) -> None:
        self.canv.setStrokeColor(BLACK)
        self.canv.setLineWidth(1.8)
        self.canv.rect(0.9, 0.9, self.width - 1.8, self.height - 1.8)


class OrderNumber(Flowable):
    """The order of a step: in a disc where resin is let in, else in a ring."""

    def __init__(self, order: int | None, *, filled: bool, size: float = 11 * mm) -> None:
        super().__init__()
        self.width = self.height = size
        self._text = "–" if order is None else str(order)
        self._filled = filled

    def draw(self) -> None:
        radius = self.width / 2
        self.canv.setStrokeColor(BLACK)
        self.canv.setFillColor(BLACK if self._filled else WHITE)
        self.canv.setLineWidth(2.2)
        self.canv.circle(radius, radius, radius - 1.1, stroke=1, fill=1)
        size = min(0.56 * self.height, 0.75 * self.width / stringWidth(self._text, BOLD, 1.0))
        self.canv.setFillColor(WHITE if self._filled else BLACK)
        self.canv.setFont(BOLD, size)
        self.canv.drawCentredString(radius, radius - 0.36 * size, self._text)


def table(
    rows: Sequence[Sequence[Cell]],
    widths: Sequence[float],
    *,
    heads: int = 0,
    style: Sequence[tuple[Any, ...]] = (),
    heights: Sequence[float | None] | None = None,
) -> Table:
    """A table with a hair line under every row; `heads` rows repeat on each page."""
    made = Table(
        [list(row) for row in rows],
        colWidths=list(widths),
        rowHeights=heights,
        repeatRows=heads,
        hAlign="LEFT",
    )
    made.setStyle(
        TableStyle(
            [
                ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
                ("LINEBELOW", (0, 0), (-1, -1), RULE, BLACK),
                ("LEFTPADDING", (0, 0), (-1, -1), 3),
                ("RIGHTPADDING", (0, 0), (-1, -1), 3),
                ("TOPPADDING", (0, 0), (-1, -1), 2),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
                *([("BACKGROUND", (0, 0), (-1, heads - 1), TINT)] if heads else []),
                *style,
            ]
        )
    )
    return made


def heading(text: str) -> Table:
    """A section heading under a thick rule."""
    made = table(
        [[words(text, 17, bold=True)]],
        [WIDTH],
        style=[("LINEABOVE", (0, 0), (-1, 0), 3, BLACK), ("LINEBELOW", (0, 0), (-1, 0), 0, WHITE)],
    )
    made.keepWithNext = True
    return made


PAGE = 297 * mm
"""Height of an upright A4 page."""
MARGIN = 12 * mm
WIDTH = 210 * mm - 2 * MARGIN
"""Between the margins of an upright A4 page."""
