"""What the sheet says of played variations: one plain line, and minutes that are never narrower for it."""

from __future__ import annotations

from typing import Any

import pytest

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.assumed import assumption_lines
from optimiser.run_sheet.headline import clock_facts
from optimiser.run_sheet.html import render_html
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
VARIED = (
    "permeability of glass",
    "temperature of mould and resin",
    "gel time beside temperature",
    "pressure under the bag",
    "seconds the crew is late on each action",
)


def robustness(fields: dict[str, Any]) -> dict[str, Any]:
    steps = [
        {"order": one["order"], "label": one["label"], "came": 100}
        | {"p05_s": 0.9 * one["expected_at_s"], "p50_s": one["expected_at_s"], "p95_s": 1.5 * one["expected_at_s"]}
        for one in fields["steps"]
    ]
    counts = {"variations": 100, "clean": 91, "locked": 6, "never_wet": 0, "out_of_order": 0, "late": 3}
    chance = {"clean_percent": 91.0, "clean_low_percent": 83.6, "clean_high_percent": 95.8, "confidence_percent": 95.0}
    return counts | chance | {
        "statement": "In 100 played variations 91 stayed clean.",
        "interval": "Clopper-Pearson",
        "sampling": "Latin hypercube",
        "network_cells": 2815,
        "wet_out_p05_s": 2_400.0,
        "wet_out_p50_s": 2_900.0,
        "wet_out_p95_s": 4_100.0,
        "least_gel_margin_s": -300.0,
        "drivers": [
            {"name": name, "spread": "as stated", "failed_when_low_percent": 0.0, "failed_when_high_percent": 0.0}
            | {"by_chance_percent": 100.0, "wet_out_rank_correlation_percent": None}
            for name in VARIED
        ],
        "patchy_percent": 12.0,
        "locked_zones": [
            {"zone": "1-MID left 5", "variations": 4, "locked_percent": 4.0, "x_mm": 6_100.0, "y_mm": 450.0}
        ],
        "steps": steps,
        "compared": [],
        "gave_up_s": 0.0,
    }


@pytest.fixture
def varied(fields: dict[str, Any]) -> PlanDocument:
    return PlanDocument.model_validate(fields | {"robustness": robustness(fields)})


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
    fields: dict[str, Any], drivers: list[int], patchy_percent: float, said: str
) -> None:
    """Permeability from place to place is of the laminate; a case may also vary nothing."""
    found = robustness(fields)
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
    assert [row.spread for row in every_row(step_groups(varied))][3] == "6–13"
    assert [row.spread for row in every_row(step_groups(plan))][3] == "6–11"
    assert wet_out_range(varied) == (2_340.0, 4_100.0)
    assert "39–69" in clock_facts(varied)[1].note
    assert "variations" in assumption_lines(varied)[0]


def test_the_map_shows_where_air_was_locked(varied: PlanDocument, plan: PlanDocument) -> None:
    """With how often, and a word in the key; a map without variations is as before."""
    assert "air in 4 of 100" in wet_out_map_svg(varied)
    assert any("played variations" in line for line in key_lines(varied))
    assert not any("played variations" in line for line in key_lines(plan))


def test_a_step_that_did_not_always_come_keeps_the_range_of_the_runs(fields: dict[str, Any]) -> None:
    """Ninety-five of a hundred have no latest minute then."""
    found = robustness(fields)
    found["steps"][3]["p95_s"] = None
    varied = PlanDocument.model_validate(fields | {"robustness": found})
    assert step_range(varied, varied.steps[3]) == pytest.approx((0.8 * 500, 1.28 * 500))
