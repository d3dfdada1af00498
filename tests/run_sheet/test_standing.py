"""Kept plans: their mark stays with them, and what has happened to them since is on all that is drawn."""

from __future__ import annotations

import hashlib
import io
import json
from datetime import UTC, datetime
from pathlib import Path

import pytest
from pypdf import PdfReader

from optimiser.run_sheet.html import render_html
from optimiser.run_sheet.identity import KeptPlan, kept_plan, sheet_mark
from optimiser.run_sheet.standing import Condemned, Finding, Standing, Withdrawn, as_it_stands
from optimiser.run_sheet.tap_labels import render_tap_labels_pdf
from optimiser.run_sheet.wet_out_map import wet_out_map_svg

GOLDEN = Path(__file__).parents[1] / "golden" / "documents" / "plan_1.json"
AT = datetime(2026, 3, 2, 7, 30, tzinfo=UTC)


@pytest.fixture(scope="module")
def text() -> str:
    """A plan as an earlier version kept it: fields that came later are not in it."""
    return json.dumps(json.loads(GOLDEN.read_text()), separators=(",", ":"))


@pytest.fixture(scope="module")
def plan(text: str) -> KeptPlan:
    return kept_plan(text)


def test_the_mark_is_that_of_the_text_whatever_this_version_would_write(text: str, plan: KeptPlan) -> None:
    """Sheets that hang on the wall are found by it."""
    assert plan.model_dump_json() != text
    assert sheet_mark(plan) == hashlib.sha256(text.encode()).hexdigest()[:8].upper()


@pytest.mark.parametrize(
    "standing",
    [
        Standing(withdrawn=Withdrawn(at=AT, reason="Another patch.")),
        Standing(condemned=(Condemned(at=AT, change=("the mould is at 15 degrees C",)),)),
    ],
)
def test_a_plan_that_no_longer_stands_keeps_its_mark(plan: KeptPlan, standing: Standing) -> None:
    """Or its printed copies could not be told."""
    assert sheet_mark(as_it_stands(plan, standing)) == sheet_mark(plan)


def test_nothing_has_happened_nothing_is_said(plan: KeptPlan) -> None:
    """The very plan."""
    assert as_it_stands(plan, Standing()) is plan
    assert 'role="alert"' not in render_html(plan)


def test_a_condemned_plan_says_so_before_anything_else(plan: KeptPlan) -> None:
    """With what was changed, and that only the shop knows whether it is so."""
    page = render_html(as_it_stands(plan, Standing(condemned=(Condemned(at=AT, change=("the mould is cold",)),))))
    assert page.index("STOP AND ASK. On 2 March 2026, 07:30 UTC") < page.index("VERIFIED BY CALCULATION")
    assert "the mould is cold. If that is how it is today, do not infuse" in page


def test_whatever_stands_against_a_sheet_is_told(plan: KeptPlan) -> None:
    """A harmless stop must not hide another: the crew answers by what it is told. Its labels begin with it."""
    cold = Condemned(at=AT, change=("it is cold",), found=Finding.TIMES)
    stands = as_it_stands(plan, Standing(condemned=(Condemned(at=AT, change=("it gels soon",)), cold)))
    page = render_html(stands)
    assert "this order of taps was found NOT to hold where it gels soon." in page
    assert "times on this sheet were found NOT to hold where it is cold. If any of that is how it is today" in page
    before, after = (
        [sheet.extract_text() for sheet in PdfReader(io.BytesIO(render_tap_labels_pdf(one))).pages]
        for one in (plan, stands)
    )
    assert "STOP AND ASK" in after[0]
    assert after[1:] == before


@pytest.mark.parametrize(
    ("found", "says"),
    [
        (Finding.ORDER, "this order of taps was found NOT to hold"),
        (Finding.TIMES, "times on this sheet were found NOT to hold"),
        (Finding.NOTHING, "nothing could be said of this sheet"),
    ],
)
def test_the_sheet_says_what_was_found_and_the_map_that_something_was(
    plan: KeptPlan, found: Finding, says: str
) -> None:
    """In the head of the sheet; the map's title is drawn otherwise than without."""
    stands = as_it_stands(plan, Standing(condemned=(Condemned(at=AT, change=("it is cold",), found=found),)))
    assert f"{says} where it is cold" in render_html(stands)
    assert wet_out_map_svg(stands) != wet_out_map_svg(plan)


def test_a_withdrawn_plan_wins_over_a_condemned_one(plan: KeptPlan) -> None:
    """No order at all is safer than orders with a warning."""
    both = Standing(withdrawn=Withdrawn(at=AT, reason="Another patch."), condemned=(Condemned(at=AT, change=("x",),)))
    page = render_html(as_it_stands(plan, both))
    assert "Withdrawn on 2 March 2026, 07:30 UTC: Another patch." in page
    assert "STOP AND ASK" not in page
    assert "Taps and vents, in this order" not in page
