"""What the run sheet says beyond the order of the taps: what one mistake would do, and what would do if refused."""

from __future__ import annotations

import html
import io
from typing import Any

import pytest
from pypdf import PdfReader

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.html import render_html
from optimiser.run_sheet.mistakes import HEAD, mistake_page
from optimiser.run_sheet.pdf import render_pdf
from optimiser.run_sheet.rows import step_groups

NOTHING = {
    "other_step": None,
    "other_label": None,
    "network": "coarse",
    "nothing_flows": False,
    "clean": True,
    "in_time": True,
    "wet_out_later_s": 180.0,
    "gel_margin_s": 720.0,
    "locked_litres": 0.0,
    "locked_regions": 0,
    "locked_near": None,
    "closed_by": [],
    "dry_m2": 0.0,
    "vents_draw_more_litres": 0.0,
    "worst_of_step": True,
}
LOCKS = {**NOTHING, "clean": False, "locked_litres": 4.0, "locked_regions": 1, "closed_by": ["1-AFT", "2-AFT"]}


LOCKED = "AIR CLOSES IN between lines A and B, 4 litres"


def with_mistakes(fields: dict[str, Any]) -> PlanDocument:
    step = {"step": 1, "label": "1-MID"}
    results = [
        {**NOTHING, **step, "mistake": "late", "worst_of_step": False, "happens": "never", "does": "printed"},
        {**LOCKS, **step, "mistake": "skipped", "happens": "a", "does": LOCKED},
        {**NOTHING, "step": 2, "label": "1-AFT", "mistake": "late", "happens": "b", "does": "wet 3 min later"},
        {
            **NOTHING,
            "step": 3,
            "label": "1-FWD",
            "mistake": "swapped_with_next",
            "other_step": 4,
            "other_label": "2-MID",
            "happens": "c",
            "does": "wet only at min 70, AFTER THE GEL LIMIT",
            "in_time": False,
        },
    ]
    together = {
        "steps": [4, 5],
        "labels": ["2-MID", "2-AFT"],
        "within_s": 3.0,
        "hands_suffice": True,
        "must_not_wait": "2-MID",
        "says": "Steps 4 and 5 are due within 3 s",
    }
    block = {
        "late_by_s": 300.0,
        "coarse_cell_mm": 100.0,
        "coarse_wet_out_s": 2_900.0,
        "statement": "A place smaller than such a cell may be missed.",
        "results": results,
        "close": [together],
    }
    return PlanDocument.model_validate({**fields, "mistakes": block})


@pytest.fixture(scope="module")
def shown(plan: PlanDocument) -> PlanDocument:
    """The plan with its mistakes."""
    return with_mistakes(plan.model_dump())


@pytest.fixture(scope="module")
def page(shown: PlanDocument) -> str:
    return render_html(shown)


@pytest.fixture(scope="module")
def pages(shown: PlanDocument) -> list[str]:
    """Text of each page of the file."""
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(render_pdf(shown))).pages]


def test_the_worst_of_each_step_is_printed_on_both(page: str, pages: list[str]) -> None:
    """With its step, its label and what comes of it; what is not the worst is not."""
    for text in (page, " ".join(pages)):
        for said in (
            HEAD,
            "It permits none of them.",
            LOCKED,
            "Wet 3 min later",
            "Mixed up with step 4 (2-MID)",
            "Steps 4 and 5 are due within 3 s",
            "may be missed",
        ):
            assert said in text
        assert "printed" not in text.lower().split(HEAD.lower())[1].split("during the shot")[0]


def test_page_one_sends_steps_of_one_minute_to_those_that_have_an_order(
    plan: PlanDocument, page: str, pages: list[str]
) -> None:
    """By the page on which they stand; a sheet without such steps sends nobody anywhere."""
    (at,) = [n for n, text in enumerate(pages, 1) if "Steps 4 and 5 are due within 3 s" in text]
    told = f"left out. Only 'Due together' (page {at}) says otherwise. In the same minute: any order, but where"
    assert told in pages[0]
    assert "Only &#39;Due together&#39; (below) says otherwise." in page
    assert "left out. In the same minute: any order, but where the table says one." in render_html(plan)


def test_what_spoils_the_part_is_bold(fields: dict[str, Any]) -> None:
    """A lock, a wet-out after the gel limit, and resin that runs out; not what costs minutes."""
    shown = with_mistakes(fields)
    page = mistake_page(shown)
    assert page is not None
    assert [row.bad for row in page.rows] == [True, False, True]
    dumped = shown.model_dump()
    dumped["mistakes"]["results"][2]["resin_runs_out_s"] = 1_900.0
    empty = mistake_page(PlanDocument.model_validate(dumped))
    assert empty is not None
    assert [row.bad for row in empty.rows] == [True, True, True]
    dumped["mistakes"]["results"][2] |= {"resin_runs_out_s": None, "may_pass_stop_time": True}
    late = mistake_page(PlanDocument.model_validate(dumped))
    assert late is not None
    assert [row.bad for row in late.rows] == [True, True, True]
    assert [row.happens for row in page.rows] == ["Forgotten", "5 min late", "Mixed up with step 4 (2-MID)"]


@pytest.mark.parametrize("refused", [True, False])
def test_no_page_where_none_were_played_or_nothing_may_be_used(
    plan: PlanDocument, fields: dict[str, Any], refused: bool
) -> None:
    """An old plan prints as it did; a refused one has no steps to be mistaken in."""
    shown = with_mistakes({**fields, "verdict": "not_admissible"}) if refused else plan
    assert HEAD not in render_html(shown)


def test_a_refused_sheet_says_what_would_do(failing_plan: PlanDocument) -> None:
    """On page one of both, each change with its times, those late in the slow case last; then what was tried."""
    found = {
        "effort": 8,
        "change": "N1",
        "edits": [],
        "sequence": "outward bay by bay from N1",
        "wet_out_s": 1_200.0,
        "gel_limit_s": 1_500.0,
        "gel_margin_s": 300.0,
        "slowest_wet_out_s": 1_620.0,
    }
    holds = {**found, "effort": 9, "change": "N2", "slowest_wet_out_s": 1_499.0}
    remedies = {"statement": "One change was tried.", "network_runs": 12, "found": [found, holds], "failed": []}
    plan = PlanDocument.model_validate({**failing_plan.model_dump(), "remedies": remedies})
    first = " ".join(PdfReader(io.BytesIO(render_pdf(plan))).pages[0].extract_text().split())
    for text in (render_html(plan), first):
        wide = "Would do, verified: N2: wet-out 20.0 min"
        tight = "NOT ENOUGH IN THE SLOW CASE (27.0 > 25.0 min): N1: wet"
        assert 0 < html.unescape(text).index(wide) < html.unescape(text).index(tight)
        assert "verified: N1" not in text
        assert "One change was tried." in text


def test_which_comes_first_stands_where_they_come_due(fields: dict[str, Any]) -> None:
    """Nobody turns to another page with several taps due; where they act as triggers come nothing is said. Plans that
    were kept say 'call', which the sheet keeps for the person in charge.
    """
    mistakes = with_mistakes(fields).model_dump(mode="json")["mistakes"]
    says = "Steps 4 and 5 are due within 3 s and there is one of you. {}: late, {}."
    for tail, told in (
        (("If they come due at once, step 5 (2-AFT) first", "it does the most harm"), True),
        (("If they call at once, step 5 (2-AFT) first", "it does the most harm"), True),
        (("Act as they call", "none does more harm than the others"), False),
    ):
        mistakes["close"][0]["says"] = says.format(*tail)
        plan = PlanDocument.model_validate({**fields, "mistakes": mistakes})
        groups = [group for group in step_groups(plan) if group.if_together]
        assert [group.rows[0].order for group in groups] == [4] * told
        if told:
            said = "If they come due at once, step 5 (2-AFT) first: late, it does the most harm."
            page = html.unescape(render_html(plan))
            assert said in page
            assert "they call" not in page
            pages = PdfReader(io.BytesIO(render_pdf(plan))).pages
            assert any(said in " ".join(page.extract_text().split()) for page in pages)
