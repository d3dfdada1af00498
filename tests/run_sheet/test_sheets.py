"""The HTML page and the PDF say the same, all of it, every time, and no order when refused."""

from __future__ import annotations

import io
import re
from html.parser import HTMLParser
from typing import Any

import pytest
from pypdf import PdfReader

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.assumed import assumption_lines
from optimiser.run_sheet.cautions import cautions_of
from optimiser.run_sheet.checks_before import checks
from optimiser.run_sheet.ending import ending
from optimiser.run_sheet.go_ahead import start_ticks
from optimiser.run_sheet.html import render_html
from optimiser.run_sheet.identity import sheet_mark
from optimiser.run_sheet.pdf import render_pdf
from optimiser.run_sheet.rows import every_row, step_groups

HOSTILE = {
    "1-MID": '<script>alert("x")</script> & </style>',
    "2-MID": "Zeile Ä 前 №4",
    "3-MID": "Линия 3 Ωμέγα",
    "4-MID": "1-\u202eFWD",
    "5-MID": "L" * 300,
    "4-AFT": "$x^2$ {{ 7 * 7 }} %s",
}


class PageReader(HTMLParser):
    """Text and tags of a page as Python's own HTML parser sees them."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.words.append(data)

    @property
    def text(self) -> str:
        return flat(" ".join(self.words))


def flat(text: str) -> str:
    return " ".join(text.split())


def pdf_pages(file: bytes) -> list[str]:
    """Text of each page as pypdf extracts it."""
    return [flat(page.extract_text()) for page in PdfReader(io.BytesIO(file)).pages]


def renamed(value: Any) -> Any:
    """The plan's data with every tap renamed to something hostile, wherever the label stands."""
    if isinstance(value, dict):
        return {key: renamed(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [renamed(item) for item in value]
    return HOSTILE.get(value, value) if isinstance(value, str) else value


@pytest.fixture(scope="module")
def page(plan: PlanDocument) -> str:
    return render_html(plan)


@pytest.fixture(scope="module")
def file(plan: PlanDocument) -> bytes:
    return render_pdf(plan)


@pytest.fixture(scope="module")
def failing_page(failing_plan: PlanDocument) -> str:
    return render_html(failing_plan)


@pytest.fixture(scope="module")
def failing_file(failing_plan: PlanDocument) -> bytes:
    return render_pdf(failing_plan)


@pytest.fixture
def hostile(fields: dict[str, Any]) -> PlanDocument:
    data = renamed(fields)
    data.update(case_name="Rumpf <b>13</b> 船 " + "x" * 200, case_digest='"}; body{display:none}')
    data["conditions"]["supply"] = '<img src="http://example.invalid/x">'
    return PlanDocument.model_validate(data)


def test_every_step_is_on_the_page_and_in_the_file(plan: PlanDocument, page: str, file: bytes) -> None:
    """Order, action, label, minute, range, trigger and backup of each step are in the extracted text."""
    on_page, in_file = PageReader(page).text, " ".join(pdf_pages(file))
    groups = step_groups(plan)
    for row in every_row(groups):
        assert re.search(rf"\b{row.order} {row.action} .*?{re.escape(row.label)} {row.minute}\b", on_page)
        assert f"{row.label} {row.minute}" in in_file
        assert f"({row.spread})" in in_file or not row.spread
    for group in groups:
        assert group.says in on_page
        assert group.says in in_file
        assert group.backup in on_page
        assert group.backup in in_file


def test_page_one_can_be_used_alone_at_the_mould(plan: PlanDocument, file: bytes) -> None:
    """Job, verdict, resin, batch, initiator, temperatures, gel limit and the first taps are on it."""
    first = pdf_pages(file)[0]
    at = plan.conditions
    wanted = [plan.case_name, "VERIFIED", at.resin, at.batch, "1.5 %", "21 °C", "20 °C", "63 min old", "1-MID"]
    assert [words for words in wanted if words not in first] == []


def test_go_comes_before_step_one_and_the_end_after_the_last(
    plan: PlanDocument, page: str, file: bytes
) -> None:
    """The go-ahead with the pages of checks and cautions; all wet and the yard's decision under the last step."""
    pages = pdf_pages(file)
    checks_at = next(n for n, text in enumerate(pages, 1) if "EVERY TAP SHUT" in text)
    cautions_at = next(n for n, text in enumerate(pages, 1) if "Peroxide initiator" in text)
    assert f"checks (from page {checks_at}) ticked, but for 'Just before the first tap'" in pages[0]
    assert f"cautions (page {cautions_at}) read out" in pages[0]
    last = plan.steps[-1].label
    for text in (PageReader(page).text, " ".join(pages)):
        ticked = "checks 'Just before the first tap' ticked"
        asked = ("GO given by", "MIX 1, 32.0 kg", "FULL up to the SHUT taps", ticked, plan.steps[0].label)
        assert sorted(asked, key=text.index) == list(asked)
        end = text.index("ALL WET: seen end to end")
        assert end < text.index(f"{last} min") < text.index("LEFT OPEN", text.index(f"{last} min"))
        assert text.rindex("LEFT OPEN") < text.index("BACK ON VACUUM")
        assert "STOP THE MACHINE" not in text
        assert "Flushing solvent" not in text
        assert text.index("LEFT OPEN") < text.index("FLUSH POT, where resin is in it")
        assert "START MACHINE" not in text


def test_a_machine_runs_before_the_first_tap_and_rests_before_the_last_feed_shuts(machine_plan: PlanDocument) -> None:
    """It must not press against shut taps; a row of the cautions says why. Others read nothing of it."""
    for text in (PageReader(render_html(machine_plan)).text, " ".join(pdf_pages(render_pdf(machine_plan)))):
        start = ("RATIO 1.5 % WEIGHED", "START MACHINE", "machine STOPPED", "On ONE WORD")
        asked = ("GO given by", *start, machine_plan.steps[0].label)
        assert sorted(asked, key=text.index) == list(asked)
        ends = ("ALL WET: seen", "STOP THE MACHINE before the last", "FEED TAPS SHUT", "hose OFF the machine")
        flushed = (*ends, "ONLY THEN FLUSH the machine", "NEVER toward the manifold", "not from air")
        assert sorted(flushed, key=text.index) == list(flushed)
        assert "let its pressure down" in text
        assert "Flushing solvent" in text


def test_the_yard_s_decision_has_boxes_to_tick(plan: PlanDocument, page: str) -> None:
    """Two choices of two and what is left: five boxes in the sentences, none of them left as a small sign in the text.
    """
    boxes = len([1 for _, attrs in PageReader(page).tags if attrs.get("class") == "tick"])
    checks = page.count("<b>", page.index("Before the shot</h2>"), page.index("<h3>Resin</h3>"))
    assert boxes == len(plan.steps) + checks + 7 + 1 + 7 + 5  # go-ahead, last vent, rows at the end, choices in them
    assert "\u2610" not in page


def test_the_stop_time_is_a_sum_to_fill_in(page: str, file: bytes) -> None:
    """Limit 3780 s: 63 minutes after the initiator, whatever the minute of the first tap."""
    for text in (PageReader(page).text, pdf_pages(file)[0]):
        assert re.search(r"Initiator in \(MIX 1\) at _+:_+ \+ 63 min = STOP TIME _+:_+", text)
        assert "Table minute, as 'min 7': from the FIRST TAP" in text
        assert "Not covered: leaks, race tracks, other temperatures or batches" in text


def test_no_writing_in_the_file_is_too_small_to_read(file: bytes) -> None:
    """Ten points for all that the crew acts on; smaller are only the foot of the page and the flow that is seen."""
    small: list[str] = []

    def note(text: str, _cm: Any, _tm: Any, _font: Any, size: float) -> None:
        if 0 < size < 10 and text.strip():
            small.append(flat(text))

    for page in PdfReader(io.BytesIO(file)).pages:
        page.extract_text(visitor_text=note)
    assert small
    assert all(re.match(r"sheet [0-9A-F]{8}|first seconds: [0-9.]+ kg/min", text) for text in small)


def test_a_refused_plan_shows_its_warnings_beside_the_reasons(failing_page: str, failing_file: bytes) -> None:
    """What the plan warned of is often the cause."""
    for text in (PageReader(failing_page).text, pdf_pages(failing_file)[0]):
        assert "Look at this first: The thruster patch wets 6 min after" in text


def test_every_page_says_which_of_how_many_and_whose(plan: PlanDocument, file: bytes) -> None:
    """Loose pages of two shots must not get mixed up."""
    pages = pdf_pages(file)
    for number, text in enumerate(pages, 1):
        assert f"page {number} of {len(pages)}" in text
        assert f"case {plan.case_digest[:8]}" in text
        assert f"sheet {sheet_mark(plan)}" in text


def test_headings_come_again_on_each_page_of_the_tap_table(file: bytes) -> None:
    """A page that goes on with the table names its columns."""
    with_steps = [text for text in pdf_pages(file) if re.search(r"\bmin \d+ \(", text)]
    assert len(with_steps) >= 2
    assert all("Expected (range)" in text for text in with_steps)


def test_no_group_is_torn_across_pages(plan: PlanDocument, file: bytes) -> None:
    """All taps of one trigger are on the page that has the trigger."""
    pages = pdf_pages(file)
    for group in step_groups(plan):
        (home,) = [text for text in pages if group.says in text]
        assert all(f"{row.label} {row.minute}" in home for row in group.rows)


def test_the_same_plan_prints_the_same_bytes(plan: PlanDocument, page: str, file: bytes) -> None:
    """No clock and no chance goes into a sheet."""
    assert render_html(plan) == page
    assert render_pdf(plan) == file


def test_the_page_fetches_nothing_and_runs_nothing(page: str) -> None:
    """Self-contained: no script, no link, no source, no address outside name spaces."""
    reader = PageReader(page)
    assert {tag for tag, _ in reader.tags} & {"script", "link", "iframe", "img", "object", "embed"} == set()
    outside = [v for _, attrs in reader.tags for k, v in attrs.items() if k in {"src", "href"}]
    assert outside == []
    assert "@import" not in page
    assert "url(http" not in page


def test_a_verified_sheet_has_a_box_for_every_step_and_check(plan: PlanDocument, page: str) -> None:
    """Seventeen steps and the checks each get a box to tick."""
    boxes = [attrs for _, attrs in PageReader(page).tags if attrs.get("class") == "tick"]
    assert len(boxes) > len(plan.steps)


def test_a_refused_plan_shouts_and_gives_nothing_to_tick(failing_page: str, failing_file: bytes) -> None:
    """The words, the reasons, no box, no step: on the page and in the file."""
    reader = PageReader(failing_page)
    assert [attrs for _, attrs in reader.tags if attrs.get("class") == "tick"] == []
    pages = pdf_pages(failing_file)
    for text in (reader.text, pages[0]):
        assert "DO NOT INFUSE FROM THIS SHEET" in text
        assert "0.52 l where 0 l is allowed" in text
        assert "a third vent at x = 6.5 m on the upper edge" in text
        assert "VERIFIED" not in text
    for text in (reader.text, *pages):
        assert re.search(r"OPEN|CLAMP|When resin reaches", text) is None


def test_the_refusal_is_the_largest_type_in_the_file(failing_file: bytes) -> None:
    """No other words on the first page of a refused plan come near it in size."""
    sizes: dict[float, str] = {}

    def note(text: str, _cm: Any, _tm: Any, _font: Any, size: float) -> None:
        sizes[size] = sizes.get(size, "") + text

    PdfReader(io.BytesIO(failing_file)).pages[0].extract_text(visitor_text=note)
    assert "DO NOT" in sizes[max(sizes)]
    assert sorted(sizes)[-1] > 2 * sorted(sizes)[-2]


def test_a_refused_file_has_no_box_drawn(file: bytes, failing_file: bytes) -> None:
    """A tick box is a stroked rectangle: operators re and S (ISO 32000-1, 8.5); refused pages have none."""
    boxes = re.compile(rb"\bre S\b")
    counts = [
        sum(len(boxes.findall(page.get_contents().get_data())) for page in PdfReader(io.BytesIO(f)).pages)
        for f in (file, failing_file)
    ]
    assert counts[0] > 17
    assert counts[1] == 0


def test_hostile_names_stay_words_on_the_page(hostile: PlanDocument) -> None:
    """Mark-up in a name is read, not run; hidden characters show. Python's own parser is the judge."""
    reader = PageReader(render_html(hostile))
    assert {tag for tag, _ in reader.tags} & {"script", "img", "b13"} == set()
    assert HOSTILE["1-MID"] in reader.text
    assert HOSTILE["2-MID"] in reader.text
    assert "1-[U+202E]FWD" in reader.text
    assert "{{ 7 * 7 }}" in reader.text
    styles = "".join(reader.words[:3])
    assert "body{display:none}" not in styles


def test_hostile_names_print_in_the_file(hostile: PlanDocument) -> None:
    """Letters of the typeface are kept, others stand as code points, endless names wrap."""
    text = " ".join(pdf_pages(render_pdf(hostile)))
    assert HOSTILE["1-MID"] in text
    assert HOSTILE["3-MID"] in text
    assert "Zeile Ä [U+524D] №4" in text
    assert text.replace(" ", "").count("L" * 300) >= 1


def test_a_group_longer_than_a_page_repeats_its_trigger(fields: dict[str, Any]) -> None:
    """Forty taps on one trigger: each page with some of them says what they wait for."""
    step = fields["steps"][0]
    fields["steps"] = [{**step, "order": n, "label": f"T{n:02d}"} for n in range(1, 41)]
    with_taps = [text for text in pdf_pages(render_pdf(PlanDocument.model_validate(fields))) if "OPEN" in text]
    with_taps = [text for text in with_taps if "Expected (range)" in text]
    assert len(with_taps) >= 2
    assert all("At the start of the shot" in text for text in with_taps if "T10" in text or "T40" in text)


def test_plain_plan_without_course_or_proof_of_spread_still_prints(fields: dict[str, Any]) -> None:
    """Empty columns, no mixes, no flow figures: nothing breaks and no 'None' is printed."""
    fields["consumption"] = {key: [] for key in fields["consumption"]}
    fields["resin"]["mixes"] = None
    fields["spread_wet_out_s"] = (None, None)
    for step in fields["steps"]:
        step.update(flow_kg_per_min=None, drawn_kg=None, earliest_s=None, latest_s=None)
    bare = PlanDocument.model_validate(fields)
    assert "None" not in PageReader(render_html(bare)).text
    assert "None" not in " ".join(pdf_pages(render_pdf(bare)))


def test_who_writes_the_time_of_day_is_named_where_a_step_goes_by_the_clock(fields: dict[str, Any]) -> None:
    """When the first tap opens; elsewhere the start order says nothing of it."""
    said = "writes the time of day into each step marked CLOCK when step 1 opens"
    assert not any(said in tick for tick in start_ticks(PlanDocument.model_validate(fields)))
    fields["steps"][3]["trigger"] = {"kind": "clock", "at_s": 600.0, "says": "at minute 10 by the clock"}
    plan = PlanDocument.model_validate(fields)
    assert sum(said in tick for tick in start_ticks(plan)) == 1
    assert "At minute 10 by the clock (TODAY ____:____)" in " ".join(pdf_pages(render_pdf(plan)))


def test_the_names_of_the_columns_never_stand_without_steps(file: bytes, machine_fields: dict[str, Any]) -> None:
    """On page one with steps under them, or once at the top of the next, whatever stands above."""
    machine_fields["warnings"] = ["Look at this before the shot, it is a long warning of two lines or so." * 2] * 3
    for one in (file, render_pdf(PlanDocument.model_validate(machine_fields))):
        pages = pdf_pages(one)
        with_heads = [n for n, text in enumerate(pages, 1) if "Expected (range)" in text]
        assert with_heads[0] in (1, 2)
        for n in with_heads:
            assert "STEP" in pages[n - 1].replace("STEP TIME", "") or "ALL WET" in pages[n - 1]
            assert pages[n - 1].count("Expected (range)") == 1


def test_a_dead_end_is_filled_through_the_valve_at_its_far_end(plan: PlanDocument, machine_plan: PlanDocument) -> None:
    """Whatever feeds: with every tap shut the air in the manifold has no other way out. Common practice, no source."""
    for one in (plan, machine_plan):
        (fill,) = [tick for tick in start_ticks(one) if "FULL up to the SHUT taps" in tick]
        then = "counter at zero" if one is machine_plan else "scale WRITTEN, no tare"
        asked = ("FLUSH VALVE open A LITTLE", "until no bubbles IN THE HOSE", "at the latest, SHUT; ", then)
        assert sorted(asked, key=fill.index) == list(asked)
        assert [check.blank for check in checks(one) if check.what.startswith("Went into the flush pot")] == ["l"]


def test_a_machine_is_capped_after_its_ratio_is_weighed(machine_plan: PlanDocument) -> None:
    """An outlet in open air stands above the cap, so a capped machine gives no sample. Its hose is joined once the
    ratio is right, and it starts against an open tap. Common practice, no source."""
    said = " | ".join(start_ticks(machine_plan))
    order = (
        "WEIGHED ('Mixing'), hose NOT joined yet",
        "hose JOINED; THEN cap set to 950 mbar abs",
        "START MACHINE",
        "hose and manifold FULL",
        "On ONE WORD: Step 1 = OPEN 1-MID, machine ON; never more than ____ s on shut taps",
    )
    assert sorted(order, key=said.index) == list(order)
    assert "FIRST OPENS" not in said


def test_filling_ends_at_a_mark(fields: dict[str, Any], plan: PlanDocument) -> None:
    """Fresh resin may foam, and bubbles never end; what is bled later needs the resin. Common practice, no source."""
    assert any("at ____ l in the pot at the latest, SHUT; still bubbles: CALL" in tick for tick in start_ticks(plan))
    fields["steps"][3]["bled_before_litres"] = 0.5
    bled = start_ticks(PlanDocument.model_validate(fields))
    assert any("at the FIRST MARK at the latest, SHUT; still bubbles: CALL" in tick for tick in bled)


def test_cautions_name_what_peroxide_must_not_meet(plan: PlanDocument, machine_plan: PlanDocument) -> None:
    """And what is under pressure or on one trolley beside a machine. Common practice, no source; data sheets first."""
    for one in (plan, machine_plan):
        said = {caution.hazard: caution.text for caution in cautions_of(one)}
        for word in ("acetone or flushing solvent", "metal chips, rust", "clean plastic", "eyelids open", "that sheet"):
            assert word in said["Peroxide initiator"] + said["Peroxide splashed, peroxide waste"]
    assert "sprays peroxide, face shield" in said["Pressure"]
    assert said["Flushing solvent"].endswith("Solvent and peroxide never on one trolley.")


def test_no_feed_that_is_left_open_draws_air(plan: PlanDocument, machine_plan: PlanDocument) -> None:
    """And what is mixed and left in a container is out of the way. Common practice, no source."""
    for one in (plan, machine_plan):
        (feeds,) = [line for line in ending(one).decided if line.startswith("Feeds BEFORE the last vent (V-FWD): SHUT")]
        assert feeds.endswith("drawing from ____________, not from air, that vent OPEN, step 17 NOT DONE")
        left = [line for line in ending(one).decided if line.startswith("MIXED RESIN LEFT in container and pails")]
        assert len(left) == (1 if one is plan else 0)


def test_no_path_of_the_case_file_stands_on_paper(fields: dict[str, Any]) -> None:
    """A crew has no use for one; which field it was still shows."""
    item = {"path": "/process/least_line_end_percent", "value": "90 %", "why": "our choice"}
    lines = assumption_lines(PlanDocument.model_validate(fields | {"assumptions": [item]}))
    assert lines[-1] == "least line end percent: 90 %; our choice"
