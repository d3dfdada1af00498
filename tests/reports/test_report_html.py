"""The page: what must be done at the top, every row under its group, nothing that runs and nothing fetched."""

from __future__ import annotations

import re
from collections.abc import Callable
from html.parser import HTMLParser
from typing import Any

import pytest

from api.reports.as_html import MOST_ROWS_WITHOUT_AN_ACT, render_html
from api.reports.groups import WORDS, Group
from api.reports.report_document import ReportItem, RevalidationReport
from optimiser.run_sheet import ink
from optimiser.run_sheet.typeface import visible

MakeItem = Callable[..., ReportItem]
MakeReport = Callable[..., RevalidationReport]

VOID = {"meta", "br", "col", "link", "img", "input", "hr"}
"""Elements without an end tag: HTML Living Standard, 13.1.2 (from memory), those that could occur here."""


class PageReader(HTMLParser):
    """Tags, table rows and text of a page as Python's own HTML parser sees them; every end tag must meet its start."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self.rows: list[list[str]] = []
        self.open: list[str] = []
        self.feed(page)
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)
        if tag == "tr":
            self.rows.append([])
        if tag in ("td", "th"):
            self.rows[-1].append("")

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.words.append(data)
        if "td" in self.open or "th" in self.open:
            self.rows[-1][-1] += data

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.words).split())

    def row_with(self, text: str) -> list[str]:
        (row,) = [row for row in self.rows if any(text in cell for cell in row)]
        return [" ".join(cell.split()) for cell in row]


@pytest.fixture(scope="module")
def page(report: RevalidationReport) -> PageReader:
    return PageReader(render_html(report))


def test_the_first_words_are_what_must_be_done(page: PageReader) -> None:
    """Before anything else: how many sheets must not be used."""
    body = page.text.rsplit("2026-03-14 04:31 UTC", 1)[1].strip()
    assert body.startswith(
        "3 stored sheets must not be used, 2 more have no answer. "
        "The run is finished: 7 of 10 plans have an answer, 1 withdrawn since."
    )


def test_the_summary_counts_every_group(page: PageReader) -> None:
    """In acting order, empty or not."""
    counted = [row[:2] for row in page.rows if len(row) == 3 and row[0].isdigit()]
    assert counted == [
        [str(count), WORDS[group].heading] for group, count in zip(Group, (2, 1, 1, 1, 1, 1, 1, 1, 1), strict=True)
    ]


def test_what_changed_is_said(page: PageReader, report: RevalidationReport) -> None:
    """Sentence by sentence, with the resin and batch that all plans share."""
    assert all(sentence in page.text for sentence in report.change)
    assert "All plans are with resin Vinyl ester 40 , batch B-2207 ." in page.text


def test_every_item_stands_under_its_group(page: PageReader, report: RevalidationReport) -> None:
    """Heading, what to do, then the rows in acting order."""
    ids = re.findall(r"plan_\d{4}", page.text)
    assert ids == [item.plan_id for item in report.items]
    below = page.text.split("to a tenth of a minute.", 1)[1]
    at = [below.index(words.heading) for words in WORDS.values()]
    assert at == sorted(at)
    assert all(words.says in below for words in WORDS.values())


def test_a_row_has_before_and_now(page: PageReader) -> None:
    """Margin, wet-out and gel limit in minutes, too late set off; what to do where it differs within the group."""
    row = page.row_with("plan_0006")
    assert row[1] == "0006"
    assert row[3].startswith("Do not use the stored sheet: plan again, as the last try failed. Planned again: failed.")
    assert row[4:7] == [
        "10.0 → −0.8",
        "40.0 → 45.8",
        "50.0 → 45.0",
    ]
    assert page.row_with("plan_0008")[4:6] == ["10.0 → –", "40.0 → –"]
    assert sum(tag == "mark" for tag, _ in page.tags) == 2


def test_a_row_names_the_sheet_on_paper_and_the_one_to_print(make_item: MakeItem, make_report: MakeReport) -> None:
    """By the numbers at their feet, with what tells it from others of its name, the warning, and the files to print."""
    old, new = "plan_cafec6f90123456789abcdef", "plan_0badf00d0123456789abcdef"
    item = make_item(
        1,
        "no_longer_valid",
        -90.0,
        plan_id=old,
        replan_state="verified",
        replan_plan_id=new,
        replan_warning="the last place may be wet only at minute 50",
        conditions="mould 18 °C, resin 20 °C",
    )
    report = make_report([item])
    written = ["sheets/0BADF00D-run-sheet.pdf", "sheets/0BADF00D-tap-labels.pdf"]
    page = PageReader(render_html(report, written))
    row = page.row_with(old)
    assert row[1] == "CAFEC6F9"
    assert "mould 18 °C, resin 20 °C" in row[2]
    assert "print new run sheet AND tap labels; take the old ones down" in row[3]
    assert "New sheet 0BADF00D" in row[3]
    assert "Warning: the last place may be wet only at minute 50." in row[3]
    links = [attributes["href"] for tag, attributes in page.tags if tag == "a"]
    assert links[1:] == written
    assert not any(href in render_html(report) for href in written)


def test_what_may_not_be_infused_with_is_not_called_a_plan(make_item: MakeItem, make_report: MakeReport) -> None:
    """Not even where planning again has left one in the store."""
    item = make_item(1, "no_longer_valid", -90.0, replan_state="not_admissible", replan_plan_id="plan_0badf00d")
    page = PageReader(render_html(make_report([item])))
    assert "No sequence found: do not infuse with this." in page.row_with("plan_0001")[3]
    assert "0BADF00D" not in page.text
    assert "ew plan:" not in page.text


def test_the_head_says_which_plans_and_that_changes_do_not_add_up(make_report: MakeReport) -> None:
    """Under what changed."""
    page = PageReader(render_html(make_report([], looked_at="Plans made for resin Vinyl ester 40.")))
    assert "Plans made for resin Vinyl ester 40." in page.text
    assert "plus this change only. Not in it: changes of earlier runs." in page.text


def test_there_is_a_box_to_tick_for_all_that_is_to_be_done(page: PageReader) -> None:
    """Seven items ask for an act; one holds, one waits, one is withdrawn."""
    assert [attributes.get("class") for _, attributes in page.tags].count("tick") == 7


def test_several_resins_are_told_row_by_row(make_item: MakeItem, make_report: MakeReport) -> None:
    """The line for all plans is gone then."""
    two = make_report([make_item(1, "new_clock"), make_item(2, "new_clock", resin="Polyester 12", batch="P-1")])
    page = PageReader(render_html(two))
    assert "Polyester 12, P-1" in page.row_with("plan_0002")[2]
    assert "All plans are with" not in page.text


@pytest.mark.parametrize(("answer", "cut"), [("still_valid", True), ("open", True), ("new_clock", False)])
def test_only_what_asks_for_nothing_is_cut(
    make_item: MakeItem, make_report: MakeReport, answer: str, cut: bool
) -> None:
    """With a line that says how many more there are and where; what must be acted on is never left out."""
    many = [make_item(n, answer, float(n)) for n in range(1 + MOST_ROWS_WITHOUT_AN_ACT)]
    page = PageReader(render_html(make_report(many)))
    listed = len(re.findall(r"plan_\d{4}", page.text))
    assert listed == (MOST_ROWS_WITHOUT_AN_ACT if cut else len(many))
    assert ("And 1 more of these. The CSV and the XLSX of this report list all of them." in page.text) == cut


def test_hostile_names_are_only_text(make_item: MakeItem, make_report: MakeReport, hostile_name: str) -> None:
    """Same tags as for a plain name, and the name can be read as on the run sheet."""
    fields: dict[str, Any] = {"case_name": hostile_name, "resin": hostile_name, "batch": hostile_name}
    hostile = make_report([make_item(1, "new_clock", reason=hostile_name, **fields)], change=[hostile_name])
    plain = make_report([make_item(1, "new_clock", reason="a", case_name="a", resin="a", batch="a")], change=["a"])
    page = PageReader(render_html(hostile))
    assert page.tags == PageReader(render_html(plain)).tags
    assert page.row_with("plan_0001")[2].startswith(" ".join(visible(hostile_name).split()))
    assert not re.search(r"[\u202a-\u202e\u2066-\u2069]", "".join(page.words))


def test_the_page_stands_alone(report: RevalidationReport) -> None:
    """Nothing runs, nothing is fetched: no script, no handler, no address but places on the page itself."""
    page = render_html(report)
    for tag, attributes in PageReader(page).tags:
        assert tag not in ("script", "link", "img", "iframe", "object", "form", "base")
        assert not any(name.startswith("on") or name in ("src", "action", "data") for name in attributes)
        assert (attributes.get("href") or "#").startswith("#")
    assert not re.search(r"url\(|@import|https?:", page)


def test_links_of_the_summary_lead_to_their_groups(page: PageReader) -> None:
    """Each to one place that is there."""
    targets = [attributes["href"] for tag, attributes in page.tags if tag == "a"]
    places = [attributes["id"] for _, attributes in page.tags if "id" in attributes]
    assert targets == [f"#{place}" for place in places]
    assert len(set(places)) == len(Group)


def test_only_the_inks_of_the_house_are_used(report: RevalidationReport) -> None:
    """Black on white and the other way round, so that it survives a copier."""
    used = set(
        re.findall(r"#[0-9a-fA-F]{6}\b|#[0-9a-fA-F]{3}\b|rgb\([^)]*\)", render_html(report).split("</style>")[0])
    )
    assert used <= {ink.BLACK, ink.WHITE, ink.NEAR_BLACK, ink.TINT}


def test_equal_reports_are_equal_pages(report: RevalidationReport) -> None:
    """Byte for byte."""
    assert render_html(report) == render_html(RevalidationReport.model_validate_json(report.model_dump_json()))


def test_an_empty_run_is_a_page_too(make_report: MakeReport) -> None:
    """Nothing asked, nothing changed: it says so."""
    assert "No stored plan was looked at." in PageReader(render_html(make_report([], change=[]))).text
