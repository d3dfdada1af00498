"""Labels to cut out and tie on: for each tap and vent three alike, for hose end, manifold and sheet."""

from __future__ import annotations

import io

from reportlab.lib.pagesizes import A4
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.headline import is_verified, verdict_words
from optimiser.run_sheet.identity import footer, sheet_mark
from optimiser.run_sheet.pdf_blocks import BLACK, OrderNumber, fitted, words
from optimiser.run_sheet.taps import Tap, taps_of
from optimiser.run_sheet.typeface import BOLD, PLAIN, printable, register_fonts, shortened

COPIES = 3
COLUMNS, ROWS = 2, 6
MARGIN, FOOT = 10 * mm, 15 * mm
WIDTH = (A4[0] - 2 * MARGIN) / COLUMNS
HEIGHT = (A4[1] - MARGIN - FOOT) / ROWS
_TAPS_PER_PAGE = COLUMNS * ROWS // COPIES
_DISC = 24 * mm


def render_tap_labels_pdf(plan: PlanDocument) -> bytes:
    """Three labels one under the other for each tap; none for a plan that may not be used."""
    register_fonts()
    file = io.BytesIO()
    canvas = Canvas(file, pagesize=A4, invariant=1)
    canvas.setTitle("Tap labels")
    if is_verified(plan):
        _label_pages(canvas, plan)
    else:
        _refusal(canvas, plan)
    canvas.save()
    return file.getvalue()


def _label_pages(canvas: Canvas, plan: PlanDocument) -> None:
    taps = taps_of(plan)
    sheets = [taps[i : i + _TAPS_PER_PAGE] for i in range(0, len(taps), _TAPS_PER_PAGE)]
    for number, some in enumerate(sheets, 1):
        for place, tap in enumerate(some):
            column, block = place % COLUMNS, place // COLUMNS
            for copy in range(COPIES):
                _label(canvas, plan, tap, column, block * COPIES + copy)
        _foot(
            canvas, plan, number, len(sheets), "Three alike: hose end, manifold, sheet. Cut along the dashes."
        )
        canvas.showPage()


def _label(canvas: Canvas, plan: PlanDocument, tap: Tap, column: int, row: int) -> None:
    left, top = MARGIN + column * WIDTH, A4[1] - MARGIN - row * HEIGHT
    _cut_lines(canvas, left, top)
    disc = OrderNumber(tap.order, filled=tap.kind == "line", size=_DISC)
    disc.drawOn(canvas, left + 4 * mm, top - (HEIGHT + _DISC) / 2 + 2 * mm)
    x, room = left + _DISC + 8 * mm, WIDTH - _DISC - 12 * mm
    name = fitted(tap.label, room, largest=44, smallest=5, height=24 * mm)
    _, height = name.wrapOn(canvas, room, HEIGHT)
    name.drawOn(canvas, x, top - (HEIGHT + height) / 2 + 5 * mm)
    line = words(_says(tap), 11, bold=True)
    _, height = line.wrapOn(canvas, room, HEIGHT)
    line.drawOn(canvas, x, top - HEIGHT + 7 * mm)
    canvas.setFillColor(BLACK)
    canvas.setFont(PLAIN, 7)
    mark = f"sheet {sheet_mark(plan)} · {shortened(printable(plan.case_name), 28)}"
    canvas.drawString(left + 4 * mm, top - HEIGHT + 3 * mm, mark)


def _says(tap: Tap) -> str:
    """Line and, where the tap is turned more than once, its other steps."""
    name = "VENT" if tap.kind == "vent" else shortened(tap.line, 40)
    if not tap.steps:
        return f"{name} · {'KEEP SHUT' if tap.kind == 'line' else 'KEEP OPEN'}"
    turns = " · ".join(f"{step.action.upper()} {step.order}" for step in tap.steps)
    return f"{name} · {turns}"


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
    text = words(f"{verdict_words(plan)}. No labels are printed for it.", 48, bold=True)
    _, height = text.wrapOn(canvas, A4[0] - 2 * MARGIN, A4[1])
    text.drawOn(canvas, MARGIN, A4[1] - 30 * mm - height)
    _foot(canvas, plan, 1, 1)
    canvas.showPage()
