"""What the sheet says of played variations: one plain line, and minutes that are never narrower for it."""

from __future__ import annotations

from typing import Any

import pytest

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.assumed import assumption_lines
from optimiser.run_sheet.go_ahead import start_ticks
from optimiser.run_sheet.headline import clock_facts
from optimiser.run_sheet.html import render_html
from optimiser.run_sheet.map_varied import MOST_PLACES, varied_locks
from optimiser.run_sheet.map_words import key_lines
from optimiser.run_sheet.pdf import render_pdf
from optimiser.run_sheet.proof_words import proof_lines
from optimiser.run_sheet.ranges import step_range, wet_out_range
from optimiser.run_sheet.rows import every_row, step_groups
from optimiser.run_sheet.wet_out_map import wet_out_map_svg

LINE = (
    "In 100 played variations of laminate, resin, weather, vacuum and crew 91 stayed clean and in time; 6 closed air "
    "in (most often in zone 1-MID left 5), 3 were too late. A calculation, no promise: the person in charge decides."
)


@pytest.fixture
def varied(fields: dict[str, Any], robustness_fields: dict[str, Any]) -> PlanDocument:
    return PlanDocument.model_validate(fields | {"robustness": robustness_fields})


def test_one_line_says_how_many_stayed_clean(varied: PlanDocument) -> None:
    """With what became of the others and where; never a promise. On HTML and PDF alike."""
    assert LINE in proof_lines(varied)
    assert LINE in render_html(varied)
    assert render_pdf(varied).startswith(b"%PDF")


@pytest.mark.parametrize(
    ("drivers", "patchy_percent", "said"),
    [
        ([4], 0.0, "In 100 played variations of crew 91 stayed clean"),
        ([4], 12.0, "In 100 played variations of laminate and crew 91 stayed clean"),
        ([2, 1], 0.0, "In 100 played variations of resin and weather 91 stayed clean"),
        ([], 0.0, "In 100 played variations in which nothing varied, each the same run, 91 stayed clean"),
    ],
)
def test_only_what_varied_is_named(
    fields: dict[str, Any], robustness_fields: dict[str, Any], drivers: list[int], patchy_percent: float, said: str
) -> None:
    """Permeability from place to place is of the laminate; a case may also vary nothing."""
    found = robustness_fields
    found |= {"drivers": [found["drivers"][k] for k in drivers], "patchy_percent": patchy_percent}
    varied = PlanDocument.model_validate(fields | {"robustness": found})
    assert [line for line in proof_lines(varied) if line.startswith(said)]


def test_without_variations_it_says_so(plan: PlanDocument, fields: dict[str, Any]) -> None:
    """Nothing was counted: a plan that holds says what was not compared, one that fails has worse to say."""
    (line,) = [line for line in proof_lines(plan) if "variations" in line]
    assert line.startswith("It was not played in variations of the day: no other order")
    given = PlanDocument.model_validate(fields | {"proof": fields["proof"] | {"status": "checked_only"}})
    assert "It was not played in variations of the day." in proof_lines(given)
    failing = PlanDocument.model_validate(fields | {"verdict": "not_admissible"})
    assert not [line for line in proof_lines(failing) if "variations" in line]
    assert "variations" not in assumption_lines(plan)[0]


def test_minutes_in_brackets_are_the_wider_of_the_two(varied: PlanDocument, plan: PlanDocument) -> None:
    """Runs with changed permeability reach from 0.8 to 1.28 of the time, variations from 0.9 to 1.5."""
    step = varied.steps[3]
    assert step_range(varied, step) == pytest.approx((0.8 * 500, 1.5 * 500))
    assert [row.spread for row in every_row(step_groups(varied))][3] == "6–12"
    assert [row.spread for row in every_row(step_groups(plan))][3] == "6–10"
    assert wet_out_range(varied) == (2_340.0, 4_100.0)
    assert "39–68" in clock_facts(varied)[1].note
    assert "variations" in assumption_lines(varied)[0]


def test_the_map_shows_where_air_was_locked(varied: PlanDocument, plan: PlanDocument) -> None:
    """With how often, and a word in the key; a map without variations is as before."""
    assert "air in 4 of 100" in wet_out_map_svg(varied)
    assert any("played variations" in line for line in key_lines(varied))
    assert not any("played variations" in line for line in key_lines(plan))


def test_a_step_that_did_not_always_come_keeps_the_range_of_the_runs(
    fields: dict[str, Any], robustness_fields: dict[str, Any]
) -> None:
    """Ninety-five of a hundred have no latest minute then."""
    found = robustness_fields
    found["steps"][3]["p95_s"] = None
    varied = PlanDocument.model_validate(fields | {"robustness": found})
    assert step_range(varied, varied.steps[3]) == pytest.approx((0.8 * 500, 1.28 * 500))


def test_that_no_day_was_played_is_accepted_by_somebody(fields: dict[str, Any]) -> None:
    """Else a plan that was asked less would look the safer."""
    ticks = start_ticks(PlanDocument.model_validate(fields | {"robustness": None}))
    assert [tick for tick in ticks if "accepted by" in tick and tick.startswith("NOT PLAYED for cold")]


def test_days_that_fail_are_accepted_by_somebody(fields: dict[str, Any], robustness_fields: dict[str, Any]) -> None:
    """Before step 1, where more than one in twenty of the played days fail."""
    found = robustness_fields
    for clean, asked in ((91, True), (96, False)):
        plan = PlanDocument.model_validate(fields | {"robustness": found | {"clean": clean}})
        ticks = [tick for tick in start_ticks(plan) if "IT FAILS" in tick]
        assert bool(ticks) is asked
        said = f"IT FAILS in {100 - clean} of 100 played days"
        assert all(tick.startswith(said) and "accepted by" in tick for tick in ticks)


def with_locks(
    fields: dict[str, Any], robustness_fields: dict[str, Any], *places: tuple[int, float, float]
) -> PlanDocument:
    """Each place with its variation."""
    listed = [{"variation": number, "zone": "1-MID left 5", "x_mm": x, "y_mm": y} for number, x, y in places]
    return PlanDocument.model_validate(fields | {"robustness": robustness_fields | {"locked_places": listed}})


def test_places_that_lie_together_are_one_and_a_variation_counts_once(
    fields: dict[str, Any], robustness_fields: dict[str, Any]
) -> None:
    """Two of variation 3 lie 200 mm apart; that of variation 9 lies on its own."""
    plan = with_locks(fields, robustness_fields, (3, 6_000, 500), (3, 6_200, 500), (5, 6_100, 600), (9, 2_000, 1_500))
    often, once = varied_locks(plan, near_mm=300)
    assert (often.variations, once.variations) == (2, 1)
    assert often.at_mm == pytest.approx((6_100, 533.3), abs=0.1)
    assert once.at_mm == (2_000, 1_500)
    assert sorted(one.variations for one in varied_locks(plan, near_mm=1)) == [1, 1, 1, 1]


def test_the_map_names_what_is_left_of_it(fields: dict[str, Any], robustness_fields: dict[str, Any]) -> None:
    """As counts of the variations that were played, every one of them and not the first few."""
    plan = with_locks(fields, robustness_fields, *((number, 1_000.0 * number, 1_000.0) for number in range(1, 7)))
    assert wet_out_map_svg(plan).count("air in 1 of 100") >= 6
    crowd = with_locks(fields, robustness_fields, *((number, 400.0 * number, 1_000.0) for number in range(1, 30)))
    assert len(varied_locks(crowd, near_mm=10)) == MOST_PLACES


def test_a_plan_that_kept_no_places_shows_its_zones(fields: dict[str, Any], robustness_fields: dict[str, Any]) -> None:
    """As those that were made before."""
    plan = PlanDocument.model_validate(fields | {"robustness": robustness_fields})
    (one,) = varied_locks(plan, near_mm=300)
    assert (one.variations, one.at_mm) == (4, (6_100.0, 450.0))
