"""A report as CSV: RFC 4180, in UTF-8 with a byte order mark.

The mark is for those who open the file in a spreadsheet: without it some take UTF-8 for the code page of the machine
and spoil every name with an accent. A program reads it with the codec `utf-8-sig`, or takes the JSON.

A spreadsheet takes a cell that begins with = + - @ for a formula (CWE-1236), quoted or not, so such names get an
apostrophe in front. It also guesses: a batch 0012 may be shown as 12. Who needs types takes the XLSX.
"""

from __future__ import annotations

import csv
import io

from api.reports.columns import COLUMNS, NumberColumn
from api.reports.order import acting_order
from api.reports.report_document import ReportItem, RevalidationReport
from api.reports.shown_text import shown

_FORMULA_SIGNS = ("=", "+", "-", "@", "＝", "＋", "－", "＠")
"""Full-width ones too: some spreadsheets take them for the plain ones."""


def render_csv(report: RevalidationReport) -> bytes:
    """A head and a line for each item, what must be acted on first; the same report gives the same bytes."""
    text = io.StringIO(newline="")
    lines = csv.writer(text, lineterminator="\r\n", strict=True)
    lines.writerow(column.head for column in COLUMNS)
    lines.writerows(_cells(item) for item in acting_order(report.items))
    return text.getvalue().encode("utf-8-sig")


def _cells(item: ReportItem) -> list[str]:
    cells = []
    for column in COLUMNS:
        if isinstance(column, NumberColumn):
            number = column.value(item)
            cells.append("" if number is None else f"{number:.{column.decimals}f}")
        else:
            cells.append(no_formula(shown(column.value(item) or "")))
    return cells


def no_formula(text: str) -> str:
    """Text that no spreadsheet computes. Tabs and line ends are out of the way already: `shown` makes them blanks."""
    return f"'{text}" if text.startswith(_FORMULA_SIGNS) else text
