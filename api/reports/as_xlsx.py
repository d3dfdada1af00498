"""A report as an XLSX workbook: a summary, then a table of all items to sort and filter.

Numbers are numbers, in minutes to one decimal; text is text, whatever it begins with.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from openpyxl import Workbook
from openpyxl.cell import Cell, WriteOnlyCell
from openpyxl.styles import Alignment, Border, Font, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from api.reports.columns import COLUMNS, Column, NumberColumn
from api.reports.groups import WORDS
from api.reports.order import acting_order, by_group
from api.reports.report_document import ReportItem, RevalidationReport
from api.reports.report_words import HOW_TO_READ, THIS_CHANGE_ONLY, TITLE, headline, made_at, progress
from api.reports.shown_text import shown
from api.reports.workbook_bytes import workbook_bytes
from optimiser.run_sheet.cautions import DEFER

SUMMARY, PLANS = "Summary", "Plans"
_FROZEN_AT = "D2"
"""The head, and which sheet of which part to do what about, stay in sight."""
_SUMMARY_WIDTHS = (12, 44, 100)
_PLAIN, _STRONG, _LARGE = Font(), Font(bold=True), Font(bold=True, size=16)
_RULE = Border(bottom=Side(style="medium"))
_TOP, _WRAPPED = Alignment(vertical="top"), Alignment(vertical="top", wrap_text=True)
_LOOKS_ESCAPED = re.compile("_(?=x[0-9A-Fa-f]{4}_)")
"""`_x003D_` would be read back as `=` (ECMA-376 part 1, 22.9.2.19, from memory), so its first mark is escaped."""


def render_xlsx(report: RevalidationReport) -> bytes:
    """The workbook; the same report gives the same bytes."""
    book = Workbook(write_only=True)
    _write_summary(_sheet(book, SUMMARY, _SUMMARY_WIDTHS), report)
    _write_plans(_sheet(book, PLANS, [column.width for column in COLUMNS]), report)
    book.properties.title = TITLE
    book.properties.creator = f"tapcall {shown(report.tapcall_version)}"
    return workbook_bytes(book, made_at=report.made_at)


def _sheet(book: Workbook, title: str, widths: Sequence[int]) -> Worksheet:
    """An empty sheet that prints across one page of landscape A4.

    In a write-only book it is a streaming sheet, which has of `Worksheet` all that is used here.
    """
    sheet: Worksheet = book.create_sheet(title)
    for number, width in enumerate(widths, start=1):
        sheet.column_dimensions[get_column_letter(number)].width = width
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.paperSize = Worksheet.PAPERSIZE_A4
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    return sheet


def _write_summary(sheet: Worksheet, report: RevalidationReport) -> None:
    for row in _summary_rows(report):
        cells = [WriteOnlyCell(sheet) for _ in row]
        for cell, (value, font) in zip(cells, row, strict=True):
            cell.font, cell.alignment = font, _WRAPPED if len(row) == len(_SUMMARY_WIDTHS) else _TOP
            _put(cell, value)
        sheet.append(cells)


def _summary_rows(report: RevalidationReport) -> Iterator[Sequence[tuple[str | int, Font]]]:
    yield [(TITLE, _STRONG)]
    yield [(headline(report), _LARGE)]
    yield [(progress(report), _PLAIN)]
    yield []
    yield [("What changed", _STRONG)]
    yield from ([(sentence, _PLAIN)] for sentence in report.change)
    yield from ([(sentence, _PLAIN)] for sentence in (report.looked_at, THIS_CHANGE_ONLY) if sentence)
    yield []
    yield [("Plans", _STRONG), ("Do", _STRONG), ("Why", _STRONG)]
    for group, items in by_group(report.items).items():
        font = _STRONG if items else _PLAIN
        yield [(len(items), font), (WORDS[group].heading, font), (WORDS[group].says, _PLAIN)]
    yield [(report.asked, _STRONG), ("in all", _STRONG)]
    yield []
    yield [(HOW_TO_READ, _PLAIN)]
    yield [(DEFER, _PLAIN)]
    yield [(f"Run {report.run_id}, report of {made_at(report)}, tapcall {report.tapcall_version}.", _PLAIN)]


def _write_plans(sheet: Worksheet, report: RevalidationReport) -> None:
    sheet.freeze_panes = _FROZEN_AT
    sheet.print_title_rows = "1:1"
    sheet.auto_filter.ref = f"A1:{get_column_letter(len(COLUMNS))}{len(report.items) + 1}"
    heads = [WriteOnlyCell(sheet) for _ in COLUMNS]
    for cell, column in zip(heads, COLUMNS, strict=True):
        cell.font, cell.border, cell.alignment = _STRONG, _RULE, _WRAPPED
        _put(cell, column.head)
    sheet.append(heads)
    cells = [_body_cell(sheet, column) for column in COLUMNS]
    for item in acting_order(report.items):
        sheet.append([_filled(cell, column, item) for cell, column in zip(cells, COLUMNS, strict=True)])


def _body_cell(sheet: Worksheet, column: Column) -> Cell:
    """One cell for a whole column: each row is written at once, and styling anew is what would cost time."""
    cell = WriteOnlyCell(sheet)
    if isinstance(column, NumberColumn):
        cell.alignment = _TOP
        cell.number_format = f"0.{'0' * column.decimals}" if column.decimals else "0"
    else:
        cell.alignment = _WRAPPED
        cell.quotePrefix = True
    return cell


def _filled(cell: Cell, column: Column, item: ReportItem) -> Cell | None:
    value = column.value(item)
    if value is None or value == "":
        return None
    _put(cell, value)
    return cell


def _put(cell: Cell, value: str | float) -> None:
    """A number, or text that stays text: neither '=1+1' nor '#N/A' is more than its letters."""
    if isinstance(value, str):
        cell.value = _LOOKS_ESCAPED.sub("_x005F_", shown(value))
        cell.data_type = "s"
    else:
        cell.value = value
