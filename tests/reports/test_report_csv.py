"""The CSV: RFC 4180, read back by Python's csv module, and no cell that a spreadsheet would compute."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable

from hypothesis import given
from hypothesis import strategies as st

from api.reports.as_csv import render_csv
from api.reports.report_document import ReportItem, RevalidationReport
from api.reports.shown_text import shown
from optimiser.run_sheet.typeface import visible

MakeItem = Callable[..., ReportItem]
MakeReport = Callable[..., RevalidationReport]

_TEXT = r"[\x20-\x21\x23-\x2B\x2D-\x7E\x80-\U0010FFFF]"
_FIELD = rf'(?:"(?:{_TEXT}|,|\r|\n|"")*"|{_TEXT}*)'
RFC_4180 = re.compile(rf"{_FIELD}(?:,{_FIELD})*(?:\r\n{_FIELD}(?:,{_FIELD})*)*(?:\r\n)?")
"""RFC 4180, section 2, the grammar; TEXTDATA with all of Unicode beyond ASCII, as UTF-8 (RFC 7111, section 5.1, makes
that the usual character set of text/csv; from memory)."""

COMPUTED = re.compile(r"[=+\-@\t\r＝＋－＠]")
"""First characters that make a cell a formula: CWE-1236 for the plain ones; the full-width ones from memory."""


def lines_of(file: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(file.decode("utf-8-sig"), newline=""), strict=True))


def test_the_file_obeys_the_grammar(report: RevalidationReport) -> None:
    """CRLF after each record, the last included, and the same number of fields in all."""
    text = render_csv(report).decode("utf-8-sig")
    assert RFC_4180.fullmatch(text)
    assert text.endswith("\r\n")
    assert text.count("\n") == text.count("\r\n") == 1 + len(report.items)
    assert len({len(record) for record in csv.reader(io.StringIO(text, newline=""), strict=True)}) == 1


def test_a_spreadsheet_is_told_that_it_is_utf_8(report: RevalidationReport) -> None:
    """The byte order mark of UTF-8, EF BB BF (RFC 3629, section 6), once and at the very start."""
    file = render_csv(report)
    assert file.startswith(b"\xef\xbb\xbf")
    assert file.count(b"\xef\xbb\xbf") == 1


def test_the_items_stand_in_acting_order_with_their_figures(report: RevalidationReport) -> None:
    """All of them; minutes with one decimal, empty where there is no answer."""
    lines = lines_of(render_csv(report))
    assert [line["Plan id"] for line in lines] == [item.plan_id for item in report.items]
    assert [line["Do"] for line in lines] == [item.action for item in report.items]
    late, open_ = lines[1], lines[-2]
    assert (late["Margin before (min)"], late["Margin now (min)"]) == ("10.0", "-0.8")
    assert (late["Wet-out now (min)"], late["Gel limit now (min)"]) == ("45.8", "45.0")
    assert (open_["Margin now (min)"], open_["Wet-out before (min)"]) == ("", "40.0")
    assert late["Layout revision"] == "3"


def test_hostile_names_stay_names(make_item: MakeItem, make_report: MakeReport, hostile_name: str) -> None:
    """They are read back as they are shown, and none begins like a formula."""
    texts = {"case_name": hostile_name, "resin": hostile_name, "batch": hostile_name, "reason": hostile_name}
    file = render_csv(make_report([make_item(1, "no_longer_valid", -90.0, **texts)]))
    assert RFC_4180.fullmatch(file.decode("utf-8-sig"))
    (line,) = lines_of(file)
    for head in ("Part", "Resin", "Batch", "Why"):
        assert not COMPUTED.match(line[head])
        assert line[head] in (visible(hostile_name), f"'{visible(hostile_name)}")
        assert line[head] == visible(hostile_name) or COMPUTED.match(visible(hostile_name))


@given(name=st.text(alphabet=st.characters(codec="utf-8"), max_size=30))
def test_any_name_makes_one_record(make_item: MakeItem, make_report: MakeReport, name: str) -> None:
    """Whatever it holds: one line, no formula, and the numbers beside it untouched."""
    file = render_csv(make_report([make_item(1, "no_longer_valid", -90.0, case_name=name)]))
    (line,) = lines_of(file)
    assert not COMPUTED.match(line["Part"])
    assert line["Margin now (min)"] == "-1.5"


@given(st.text(max_size=30))
def test_the_short_way_shows_what_the_long_way_shows(text: str) -> None:
    """As on the run sheets, so that a name looks the same on both papers."""
    assert shown(text) == visible(text)
