"""The resin's age on the run sheet: minutes add up, and the clock that counts is named."""

from __future__ import annotations

import math
from typing import Any

import pytest

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.checks_before import checks
from optimiser.run_sheet.headline import clock_facts, clock_rule, stop_time
from optimiser.run_sheet.html import render_html
from optimiser.run_sheet.pdf import render_pdf

AGE_S = 600.0


def followed(fields: dict[str, Any], judged_by: str) -> PlanDocument:
    """The shot of these tests with an age of ten minutes at the first tap."""
    fields["gel_clock"] = {
        "judged_by": judged_by,
        "age_at_first_tap_s": AGE_S,
        "least_margin_s": 300.0,
        "least_margin_at": "x 6.50 m, y 2.10 m, zone 5-MID above",
        "age_there_s": 3480.0,
        "age_limit_there_s": 3780.0,
        "viscosity_first_tap_mpa_s": 260.0,
        "viscosity_wet_out_mpa_s": 640.0,
        "temperatures": [
            {"at_s": 0.0, "mould_temperature_c": 20.0, "resin_temperature_c": 20.0},
            {"at_s": 3600.0, "mould_temperature_c": 17.0, "resin_temperature_c": 19.0},
        ],
    }
    return PlanDocument.model_validate(fields)


def test_the_limit_of_the_oldest_resin_counts_from_initiator_in(fields: dict[str, Any]) -> None:
    """The plan's limit counts from the first tap, so the minutes before it come on top; both are on one clock then."""
    plan = followed(fields, "oldest_resin")
    limit = math.floor((plan.gel_limit_s + AGE_S) / 60)
    assert f"+ {limit} min = STOP TIME" in stop_time(plan)
    assert stop_time(plan).startswith("Initiator in at")
    assert "from initiator in" in clock_facts(plan)[0].note
    assert "at most 10 min after initiator in. MORE THAN THAT: DO NOT OPEN" in clock_rule(plan)


def test_the_limit_of_each_place_counts_from_the_first_tap(fields: dict[str, Any]) -> None:
    """No one pot's clock tells it."""
    plan = followed(fields, "each_place")
    assert stop_time(plan).startswith("First tap at")
    assert f"+ {math.floor(plan.gel_limit_s / 60)} min = STOP TIME" in stop_time(plan)
    assert "from the first tap" in clock_facts(plan)[0].note


def test_a_plan_without_it_prints_as_before(fields: dict[str, Any]) -> None:
    """Minutes before the first tap come off the limit, and no check asks for them."""
    plan = PlanDocument.model_validate(fields)
    assert "the minutes between the two come off" in clock_rule(plan)
    assert not [one for one in checks(plan) if one.what.startswith(("From initiator in", "Mould / resin"))]


@pytest.mark.parametrize("judged_by", ["oldest_resin", "each_place"])
def test_checks_ask_for_age_and_temperatures(fields: dict[str, Any], judged_by: str) -> None:
    """With what the plan counts with."""
    plan = followed(fields, judged_by)
    planned = {one.what: one.planned for one in checks(plan)}
    age = planned["From initiator in to the first tap"]
    assert age.startswith("at most 10 min.")
    assert "58 min old when it is wet, limit 63 min" in age
    assert "260 mPa s at the first tap and 640 mPa s at wet-out" in age
    assert planned["Mould / resin over the shot, read on"] == "min 0: 20 / 20 °C; min 60: 17 / 19 °C. Off it: CALL."
    assert "zone 5-MID above" in render_html(plan)
    assert render_pdf(plan).startswith(b"%PDF")
