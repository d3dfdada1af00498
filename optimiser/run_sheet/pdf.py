"""The run sheet as an A4 PDF: the same plan gives the same bytes."""

from __future__ import annotations

import io
from collections.abc import Callable

from reportlab import rl_config
from reportlab.lib.pagesizes import A4, landscape
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    BaseDocTemplate,
    CondPageBreak,
    Flowable,
    Frame,
    Image,
    KeepTogether,
    NextPageTemplate,
    PageBreak,
    PageTemplate,
)

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet import pdf_first, pdf_pages
from optimiser.run_sheet.contents import Contents, contents_of
from optimiser.run_sheet.drawing_files import HEIGHT_IN, WIDTH_IN
from optimiser.run_sheet.drawings import Drawings
from optimiser.run_sheet.go_ahead import TURN_NOW, go_ticks, own_trigger
from optimiser.run_sheet.headline import DO_NOT_INFUSE
from optimiser.run_sheet.pdf_blocks import BLACK, MARGIN, WHITE, WIDTH
from optimiser.run_sheet.pdf_marks import CAUTIONS, CHECKS, TOGETHER, PageMark, begins, ends, turns_at_once
from optimiser.run_sheet.pdf_taps import ending_block, head_row, tap_block
from optimiser.run_sheet.typeface import BOLD, PLAIN, printable, register_fonts, shortened

rl_config.useA85 = 0  # drawings as bytes, not as letters: a fifth smaller, and a third of the time to write
FOOT = 14 * mm
TURN_FOOT = 19 * mm
HEAD = 10 * mm
PAGE_WIDTH, PAGE_HEIGHT = A4
_NAME_AT_THE_TOP = 44


def render_pdf(plan: PlanDocument, drawings: Drawings | None = None) -> bytes:
    """The whole run sheet. It is laid out twice: the first time counts the pages and finds what stands where."""
    register_fonts()
    sheet, drawn = contents_of(plan), drawings or Drawings(plan)
    count, marks, _ = _laid_out(sheet, drawn, pages=0, marks={})
    return _laid_out(sheet, drawn, pages=count, marks=marks)[2]


def _laid_out(
    sheet: Contents, drawings: Drawings, *, pages: int, marks: dict[str, int]
) -> tuple[int, dict[str, int], bytes]:
    """Number of pages, where each mark landed, and the file; `marks` are those of the time before."""
    file, found = io.BytesIO(), dict[str, int]()
    document = BaseDocTemplate(
        file,
        pagesize=A4,
        invariant=1,
        title=f"Run sheet: {shortened(printable(sheet.job), 100)}",
        pageTemplates=_templates(sheet, pages, turns_at_once(sheet.groups, marks), marks),
    )
    document.build(_story(sheet, drawings, marks, found))
    return document.page, found, file.getvalue()


def _templates(
    sheet: Contents, pages: int, turn_after: frozenset[int], marks: dict[str, int]
) -> list[PageTemplate]:
    """First page, pages that go on with the tap table, plain pages, and the map across a page of its own."""
    heads = 9 * mm
    begun, over = marks.get(begins(0), 0), marks.get(ends(len(sheet.groups) - 1), pages)

    def upright(
        name: str, top: float, decorate: Callable[[Canvas, BaseDocTemplate], None], bottom: float = TURN_FOOT
    ) -> PageTemplate:
        frame = Frame(MARGIN, bottom, WIDTH, PAGE_HEIGHT - bottom - top, 0, 0, 0, 0)
        return PageTemplate(name, [frame], onPage=decorate, pagesize=A4)

    def foot(canvas: Canvas, document: BaseDocTemplate) -> None:
        _footer(canvas, sheet, f"page {document.page} of {pages}", across=document.pageTemplate.id == "map")
        if document.page in turn_after:
            _turn_now(canvas)

    def foot_and_head(canvas: Canvas, document: BaseDocTemplate) -> None:
        foot(canvas, document)
        _running_head(canvas, sheet)

    def foot_and_columns(canvas: Canvas, document: BaseDocTemplate) -> None:
        foot(canvas, document)
        if document.page > over:
            _running_head(canvas, sheet, " · after the last step")
            return
        _running_head(canvas, sheet, " · taps and vents" + (", continued" if document.page > begun else ""))
        canvas.setFont(BOLD, 10)
        canvas.drawRightString(PAGE_WIDTH - MARGIN, PAGE_HEIGHT - HEAD + 0.5 * mm, sheet.read_kg)
        row = head_row()
        _, height = row.wrapOn(canvas, WIDTH, heads)
        row.drawOn(canvas, MARGIN, PAGE_HEIGHT - HEAD - 6 * mm - height)

    wide, high = landscape(A4)
    across = PageTemplate(
        "map",
        [Frame(8 * mm, FOOT, wide - 16 * mm, high - FOOT - 6 * mm, 0, 0, 0, 0)],
        onPage=foot,
        pagesize=(wide, high),
    )
    return [
        upright("first", HEAD, foot),
        upright("taps", HEAD + 6 * mm + heads, foot_and_columns),
        upright("plain", HEAD + 8 * mm, foot_and_head, FOOT),
        across,
    ]


def _across(picture: bytes) -> list[Flowable]:
    """A drawing on a page of its own, and plain pages after it."""
    wide = landscape(A4)[0] - 16 * mm
    return [
        NextPageTemplate("map"),
        PageBreak(),
        Image(io.BytesIO(picture), width=wide, height=wide * HEIGHT_IN / WIDTH_IN),
        NextPageTemplate("plain"),
        PageBreak(),
    ]


def _story(sheet: Contents, drawings: Drawings, marks: dict[str, int], found: dict[str, int]) -> list[Flowable]:
    map_page = _across(drawings.wet_out_png)
    if not sheet.verified:
        to_know = [*pdf_pages.cautions(sheet), *pdf_pages.granted(sheet)]
        return [NextPageTemplate("plain"), *pdf_first.refusal(sheet), *map_page, *to_know]
    ticks = go_ticks(
        checks_at=f"from page {marks.get(CHECKS, 0)}", cautions_at=f"page {marks.get(CAUTIONS, 0)}", start=sheet.start
    )
    blocks = [
        tap_block(group, before=PageMark(begins(n), found), after=PageMark(ends(n), found))
        for n, group in enumerate(sheet.groups)
    ]
    rule = own_trigger(f"page {marks.get(TOGETHER, 0)}" if sheet.due_together else None)
    return [
        NextPageTemplate("taps"),
        *pdf_first.headline(sheet),
        *pdf_first.go_ahead(sheet, ticks, rule),
        *_head_of(blocks, on_page=marks.get(begins(0), 1)),
        *blocks,
        ending_block(sheet.ending),
        *map_page,
        PageMark(CHECKS, found),
        *pdf_pages.before(sheet),
        *pdf_pages.cautions(sheet, PageMark(CAUTIONS, found)),
        *pdf_pages.mistakes(sheet, PageMark(TOGETHER, found)),
        *pdf_pages.during(sheet),
        *pdf_pages.after(sheet),
        *([] if drawings.thickness_png is None else _across(drawings.thickness_png)),
        *pdf_pages.granted(sheet),
    ]


def _head_of(blocks: list[KeepTogether], *, on_page: int) -> list[Flowable]:
    """The names of the columns never stand alone at the foot of page one: the pages after it bring their own."""
    head = head_row()
    if not blocks:
        return [head]
    first: list[Flowable] = vars(blocks[0])["_content"]
    needed = sum(one.wrap(WIDTH, PAGE_HEIGHT)[1] for one in (head, *first))
    return [CondPageBreak(needed), *([head] if on_page == 1 else [])]


def _footer(canvas: Canvas, sheet: Contents, page: str, *, across: bool) -> None:
    right = (PAGE_HEIGHT if across else PAGE_WIDTH) - MARGIN
    canvas.setFillColor(BLACK)
    canvas.setFont(PLAIN, 8)
    canvas.drawString(MARGIN, 8 * mm, printable(sheet.footer))
    canvas.setFont(BOLD, 10)
    canvas.drawRightString(right, 8 * mm, page)


def _turn_now(canvas: Canvas) -> None:
    """A black band at the foot of a page that must not be read to its end in peace."""
    canvas.setFillColor(BLACK)
    canvas.rect(MARGIN, 11.5 * mm, WIDTH, 6.5 * mm, stroke=0, fill=1)
    canvas.setFillColor(WHITE)
    canvas.setFont(BOLD, 12)
    canvas.drawCentredString(PAGE_WIDTH / 2, 13.4 * mm, TURN_NOW)


def _running_head(canvas: Canvas, sheet: Contents, what: str = "") -> None:
    """The job on every page; across a black band where the plan may not be used."""
    y = PAGE_HEIGHT - HEAD - 4 * mm
    name = shortened(printable(sheet.job), _NAME_AT_THE_TOP)
    if not sheet.verified:
        canvas.setFillColor(BLACK)
        canvas.rect(MARGIN, y - 2 * mm, WIDTH, 8 * mm, stroke=0, fill=1)
        canvas.setFillColor(WHITE)
        canvas.setFont(BOLD, 15)
        canvas.drawCentredString(PAGE_WIDTH / 2, y, DO_NOT_INFUSE)
        return
    canvas.setFillColor(BLACK)
    canvas.setFont(BOLD, 10)
    canvas.drawString(MARGIN, y, name + what)
