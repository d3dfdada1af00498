"""Labels to cut out and tie on: for each tap and vent three alike, for hose end, manifold and sheet."""

from __future__ import annotations

import io

from reportlab.lib.colors import Color
from reportlab.lib.pagesizes import A4
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

from optimiser.case.plan_document import PlanDocument
from optimiser.case.shown_label import shown_label
from optimiser.run_sheet.bleeding import FLUSH_VALVE
from optimiser.run_sheet.headline import is_verified, verdict_words
from optimiser.run_sheet.identity import alarm, footer, sheet_mark
from optimiser.run_sheet.last_vent import WHICHEVER_IS_LAST
from optimiser.run_sheet.pdf_blocks import BLACK, WHITE, OrderNumber, fitted, words
from optimiser.run_sheet.taps import Tap, taps_of
from optimiser.run_sheet.typeface import BOLD, NO_BREAK, PLAIN, printable, register_fonts
from optimiser.run_sheet.upside_down import reads_upside_down

COPIES = 3
COLUMNS, ROWS = 2, 6
MARGIN, FOOT = 10 * mm, 15 * mm
WIDTH = (A4[0] - 2 * MARGIN) / COLUMNS
HEIGHT = (A4[1] - MARGIN - FOOT) / ROWS
_TAPS_PER_PAGE = COLUMNS * ROWS // COPIES
_DISC = 17 * mm
"""Smaller than the label's own name: that is what is called out, and the disc has its word above it."""

_FLUSH = Tap(label=FLUSH_VALVE, line="", kind="line", steps=())
"""No tap of the plan, and of no line: hose and manifold are filled through it, and the sheet says when it is opened."""


def render_tap_labels_pdf(plan: PlanDocument) -> bytes:
    """Three labels one under the other for each tap and for the flush valve; none for a plan that may not be used."""
    register_fonts()
    file = io.BytesIO()
    canvas = Canvas(file, pagesize=A4, invariant=1)
    canvas.setTitle("Tap labels")
    if is_verified(plan):
        if alarm(plan):
            _whole_page(canvas, plan, f"{alarm(plan)} These labels belong to that sheet.", 30)
        _label_pages(canvas, plan)
    else:
        _refusal(canvas, plan)
    canvas.save()
    return file.getvalue()


def _label_pages(canvas: Canvas, plan: PlanDocument) -> None:
    taps = [*taps_of(plan), _FLUSH]
    sheets = [taps[i : i + _TAPS_PER_PAGE] for i in range(0, len(taps), _TAPS_PER_PAGE)]
    for number, some in enumerate(sheets, 1):
        for place, tap in enumerate(some):
            column, block = place % COLUMNS, place // COLUMNS
            for copy in range(COPIES):
                _label(canvas, plan, tap, column, block * COPIES + copy)
        _foot(canvas, plan, number, len(sheets), "Three alike: hose end, manifold, sheet. Cut along the dashes.")
        canvas.showPage()


def _label(canvas: Canvas, plan: PlanDocument, tap: Tap, column: int, row: int) -> None:
    left, top = MARGIN + column * WIDTH, A4[1] - MARGIN - row * HEIGHT
    _cut_lines(canvas, left, top)
    disc = OrderNumber(tap.order, filled=tap.kind == "line", size=_DISC)
    disc.drawOn(canvas, left + 4 * mm, top - (HEIGHT + _DISC) / 2 + 2 * mm)
    if tap.order is not None:
        canvas.setFillColor(BLACK)
        canvas.setFont(BOLD, 12)
        canvas.drawCentredString(left + 4 * mm + _DISC / 2, top - (HEIGHT - _DISC) / 2 + 3.5 * mm, "STEP")
    if reads_upside_down(str(tap.order)):
        middle = left + 4 * mm + _DISC / 2, top - HEIGHT / 2 + 2 * mm
        _foot_line(canvas, middle, color=WHITE if tap.kind == "line" else BLACK)
    x, room = left + _DISC + 8 * mm, WIDTH - _DISC - 12 * mm
    says = fitted(_says(tap), room, largest=12, smallest=6, height=16 * mm)
    _, says_height = says.wrapOn(canvas, room, HEIGHT)
    says.drawOn(canvas, x, top - HEIGHT + 7 * mm)
    name_room = HEIGHT - says_height - 11 * mm
    name = fitted(shown_label(tap.label, tap.kind), room, largest=44, smallest=5, height=name_room)
    _, height = name.wrapOn(canvas, room, HEIGHT)
    name.drawOn(canvas, x, top - 2 * mm - (name_room + height) / 2)
    _mark(canvas, plan, left + 4 * mm, top - HEIGHT + 3 * mm)


def _foot_line(canvas: Canvas, middle: tuple[float, float], *, color: Color) -> None:
    """Under a number that would be another one if the label hung upside down."""
    canvas.setStrokeColor(color)
    canvas.setLineWidth(2)
    x, y = middle[0], middle[1] - 0.29 * _DISC
    canvas.line(x - 0.2 * _DISC, y, x + 0.2 * _DISC, y)


def _mark(canvas: Canvas, plan: PlanDocument, x: float, y: float) -> None:
    """The mark that ties the label to its sheet, and the whole name of the job, as small as it has to be."""
    mark = f"sheet {sheet_mark(plan)} · {printable(plan.case_name)}"
    canvas.setFillColor(BLACK)
    canvas.setFont(PLAIN, min(7.0, (WIDTH - 8 * mm) / stringWidth(mark, PLAIN, 1.0)))
    canvas.drawString(x, y, mark)


def _says(tap: Tap) -> str:
    """What it is, how it stands before the start, and the only steps at which it is turned."""
    if tap is _FLUSH:
        return "far end of the manifold · SHUT, opened A LITTLE only where the sheet says so"
    if tap.kind == "vent":
        first, rest = "VENT, OPEN FROM THE START", tap.steps
        if not rest:
            return f"{first}, KEEP OPEN"
        turns = [f"{step.action} only at STEP{NO_BREAK}{step.order}" for step in rest]
        turns[-1] += f". {WHICHEVER_IS_LAST}"
    else:
        line = f"line{NO_BREAK}{tap.line}" if tap.line.isdecimal() else tap.line
        if not tap.steps:
            return f"{line} · KEEP SHUT"
        first, rest = f"{line} · SHUT until STEP{NO_BREAK}{tap.steps[0].order}", tap.steps[1:]
        turns = [f"{step.action} at STEP{NO_BREAK}{step.order}" for step in rest]
    return ", ".join([first, *turns])


def _cut_lines(canvas: Canvas, left: float, top: float) -> None:
    canvas.setStrokeColor(BLACK)
    canvas.setLineWidth(0.6)
    canvas.setDash(4, 3)
    canvas.rect(left, top - HEIGHT, WIDTH, HEIGHT)
    canvas.setDash()


def _foot(canvas: Canvas, plan: PlanDocument, page: int, pages: int, says: str = "") -> None:
    canvas.setFont(PLAIN, 7.5)
    canvas.drawString(MARGIN, 9 * mm, says)
    canvas.drawString(MARGIN, 5.5 * mm, printable(footer(plan)))
    canvas.setFont(BOLD, 9)
    canvas.drawRightString(A4[0] - MARGIN, 6 * mm, f"page {page} of {pages}")


def _refusal(canvas: Canvas, plan: PlanDocument) -> None:
    _whole_page(canvas, plan, f"{verdict_words(plan)}. No labels are printed for it.", 48)


def _whole_page(canvas: Canvas, plan: PlanDocument, said: str, size: float) -> None:
    text = words(said, size, bold=True)
    _, height = text.wrapOn(canvas, A4[0] - 2 * MARGIN, A4[1])
    text.drawOn(canvas, MARGIN, A4[1] - 30 * mm - height)
    _foot(canvas, plan, 1, 1)
    canvas.showPage()
