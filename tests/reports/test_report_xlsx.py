"""The XLSX, read back by openpyxl: numbers are numbers, text is text, and equal reports are equal files."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from typing import Any
from xml.etree import ElementTree
from zipfile import ZipFile

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.cell import Cell

from api.reports.as_xlsx import PLANS, SUMMARY, render_xlsx
from api.reports.columns import COLUMNS, NumberColumn
from api.reports.groups import WORDS
from api.reports.report_document import ReportItem, RevalidationReport
from api.reports.report_words import headline
from optimiser.run_sheet.typeface import visible

MakeItem = Callable[..., ReportItem]
MakeReport = Callable[..., RevalidationReport]


def opened(file: bytes) -> Workbook:
    return load_workbook(io.BytesIO(file))


@pytest.fixture(scope="module")
def book(report: RevalidationReport) -> Workbook:
    return opened(render_xlsx(report))


def rows_of(book: Workbook) -> list[dict[str, Cell]]:
    heads, *rows = book[PLANS].iter_rows()
    return [dict(zip([str(cell.value) for cell in heads], row, strict=True)) for row in rows]


def test_the_summary_comes_first_and_says_it_all(book: Workbook, report: RevalidationReport) -> None:
    """The one thing to know, what changed, and how many plans each thing is to be done about."""
    assert book.sheetnames == [SUMMARY, PLANS]
    rows = [[value for value in row if value is not None] for row in book[SUMMARY].iter_rows(values_only=True)]
    assert [headline(report)] in rows
    assert all([sentence] in rows for sentence in report.change)
    counted = [row[:2] for row in rows if len(row) == 3 and isinstance(row[0], int)]
    assert counted == [[n, words.heading] for n, words in zip((2, 1, 1, 1, 1, 1, 1, 1, 1), WORDS.values(), strict=True)]
    assert [10, "in all"] in rows


def test_figures_are_numbers_in_minutes(book: Workbook, report: RevalidationReport) -> None:
    """With one decimal, the unit in the head, and nothing at all where there is no answer."""
    rows = rows_of(book)
    assert [row["Plan id"].value for row in rows] == [item.plan_id for item in report.items]
    late, open_ = rows[1], rows[-2]
    figures = {head: late[head].value for head in late if head.endswith("(min)")}
    assert figures == {
        "Margin before (min)": 10.0,
        "Margin now (min)": -0.8,
        "Wet-out before (min)": 40.0,
        "Wet-out now (min)": 45.8,
        "Gel limit before (min)": 50.0,
        "Gel limit now (min)": 45.0,
        "Planned again, wet-out (min)": None,
    }
    assert {late[head].number_format for head, value in figures.items() if value is not None} == {"0.0"}
    assert open_["Margin now (min)"].value is None
    for row in rows:
        for column in COLUMNS:
            cell = row[column.head]
            assert cell.data_type == ("n" if isinstance(column, NumberColumn) or cell.value is None else "s")


def test_the_table_can_be_scrolled_sorted_and_filtered(book: Workbook, report: RevalidationReport) -> None:
    """Head, sheet, action and part stay in sight, every column has a filter and a width, the head is on every page."""
    sheet = book[PLANS]
    assert sheet.freeze_panes == "D2"
    assert [cell.value for cell in sheet[1]][:3] == ["Sheet", "Do", "Part"]
    assert sheet.auto_filter.ref == sheet.dimensions == f"A1:Y{len(report.items) + 1}"
    assert [sheet.column_dimensions[cell.column_letter].width for cell in sheet[1]] == [c.width for c in COLUMNS]
    assert sheet.print_title_rows == "$1:$1"
    assert sheet.page_setup.orientation == "landscape"


def test_hostile_names_stay_names(make_item: MakeItem, make_report: MakeReport, hostile_name: str) -> None:
    """Text cells all of them, on both sheets; no formula, no error value, no link, nothing lost."""
    texts: dict[str, Any] = {"case_name": hostile_name, "resin": hostile_name, "reason": hostile_name}
    hostile = make_report([make_item(1, "new_clock", **texts)], change=[hostile_name], tapcall_version=hostile_name)
    file = render_xlsx(hostile)
    assert b"<f" not in ZipFile(io.BytesIO(file)).read("xl/worksheets/sheet2.xml")
    book = opened(file)
    (row,) = rows_of(book)
    expected = visible(hostile_name)
    for head in ("Part", "Resin", "Why"):
        assert (row[head].data_type, unescaped(row[head].value)) == ("s", expected)
        assert row[head].hyperlink is None
    changed = [cell for (cell, *_) in book[SUMMARY].iter_rows() if unescaped(cell.value) == expected]
    assert [cell.data_type for cell in changed] == ["s"]


def unescaped(value: object) -> object:
    """ECMA-376 part 1, 22.9.2.19 (from memory): `_xHHHH_` stands for a character. openpyxl leaves that to its users."""
    return re.sub("_x([0-9A-Fa-f]{4})_", lambda code: chr(int(code[1], 16)), value) if isinstance(value, str) else value


def test_equal_reports_are_equal_files(report: RevalidationReport) -> None:
    """Byte for byte, whenever they are written: no clock is in them but that of the report."""
    file = render_xlsx(report)
    assert file == render_xlsx(report.model_copy(deep=True))
    archive = ZipFile(io.BytesIO(file))
    assert {entry.date_time for entry in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
    core = ElementTree.fromstring(archive.read("docProps/core.xml"))
    times = [node.text for node in core.iter() if node.tag.startswith("{http://purl.org/dc/terms/}")]
    assert times == ["2026-03-14T04:31:07Z"] * 2


def test_every_part_of_the_file_is_xml(report: RevalidationReport) -> None:
    """As ElementTree reads it; a package with one broken part opens with a repair or not at all."""
    archive = ZipFile(io.BytesIO(render_xlsx(report)))
    assert archive.testzip() is None
    assert all(ElementTree.fromstring(archive.read(name)) is not None for name in archive.namelist())
