"""The resin's age on the run sheet: minutes add up, and the clock that counts is named."""

from __future__ import annotations

import math
from typing import Any

import pytest

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.checks_before import checks
from optimiser.run_sheet.headline import clock_facts, clock_rule, latest_first_tap, stop_time
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
    assert stop_time(plan).startswith("Initiator in (MIX 1) at")
    assert "from initiator in" in clock_facts(plan)[0].note
    assert "at most 10 min after initiator in. MORE THAN THAT: DO NOT OPEN" in clock_rule(plan)


def test_every_stop_time_has_one_zero(fields: dict[str, Any], machine_plan: PlanDocument) -> None:
    """Initiator in, also where each place is judged: two sheets of one yard with two zeros would be mixed up."""
    plan = followed(fields, "each_place")
    assert f"+ {math.floor((plan.gel_limit_s + AGE_S) / 60)} min = STOP TIME" in stop_time(plan)
    for one in (plan, machine_plan):
        assert stop_time(one).startswith("Initiator in")
        assert "from initiator in" in clock_facts(one)[0].note
        assert "First tap at" not in stop_time(one) + latest_first_tap(one)


def test_a_plan_without_it_takes_nothing_off_twice(fields: dict[str, Any]) -> None:
    """The stop time counts from the initiator; the first tap is held against its latest minute."""
    plan = PlanDocument.model_validate(fields)
    assert "come off" not in clock_rule(plan)
    assert "Take nothing off the STOP TIME again" in clock_rule(plan)
    (age,) = [one for one in checks(plan) if one.what.startswith(("From initiator in", "Mould / resin"))]
    assert "LATEST FIRST TAP" in age.planned


def test_the_latest_first_tap_is_the_limit_less_the_slow_case(fields: dict[str, Any]) -> None:
    """Limit 63 min, all wet at 61 min in the slow case, 48 as expected: 2 min, or 15 where no slow case is known."""
    told = latest_first_tap(PlanDocument.model_validate(fields))
    assert "+ 2 min = ____:____, 2 min OLD. Past it: do not open, CALL" in told
    fields["spread_wet_out_s"] = (None, None)
    assert "+ 15 min = ____:____" in latest_first_tap(PlanDocument.model_validate(fields))


@pytest.mark.parametrize(("spread", "said"), [((2_340.0, 3_900.0), "up to 65 min"), ((2_340.0, None), "never all wet")])
def test_no_first_tap_is_given_where_the_slow_case_misses_the_limit(
    fields: dict[str, Any], spread: tuple[float, float | None], said: str
) -> None:
    """In plain words, and no minutes to add."""
    fields["spread_wet_out_s"] = spread
    told = latest_first_tap(PlanDocument.model_validate(fields))
    assert said in told
    assert "none" in told
    assert "Do not mix. CALL." in told
    assert "+" not in told


@pytest.mark.parametrize("judged_by", ["oldest_resin", "each_place"])
def test_where_age_is_followed_the_latest_first_tap_is_the_age_that_was_played(
    fields: dict[str, Any], judged_by: str
) -> None:
    """Ten minutes: older resin is thicker than that of the run."""
    assert "+ 10 min = " in latest_first_tap(followed(fields, judged_by))


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


def test_resin_that_does_not_thicken_may_be_later_than_counted(fields: dict[str, Any]) -> None:
    """Age of 10 min at the first tap, limit 53 min from it (70 % of 90 is 63), slow case 45 min: 8 min in hand, so 18.
    The stop time is then that of the first resin, 63 min from its initiator. By hand."""
    fields.update(gel_limit_s=3180.0, spread_wet_out_s=(2_340.0, 2_700.0))
    thickens = followed(fields, "each_place")
    assert "LATEST FIRST TAP: initiator + 10 min = " in latest_first_tap(thickens)
    fields["gel_clock"].update(viscosity_first_tap_mpa_s=210.0, viscosity_wet_out_mpa_s=210.0, temperatures=[])
    plan = PlanDocument.model_validate(fields)
    said = latest_first_tap(plan)
    assert said == "LATEST FIRST TAP: initiator + 18 min = ____:____, 18 min OLD. Past it: do not open, CALL."
    assert stop_time(plan) == "Initiator in (MIX 1) at ____:____ + 63 min = STOP TIME ____:____"
    assert "counted 10 min after initiator in" in clock_rule(plan)
    assert "THAT IS SHORT" not in clock_rule(plan)
    fields["gel_clock"]["age_at_first_tap_s"] = 360.0
    assert "THAT IS SHORT" in clock_rule(PlanDocument.model_validate(fields))
    assert "DO NOT OPEN" not in clock_rule(plan)
    assert "10 min as counted, not past the LATEST FIRST TAP" in " ".join(one.planned for one in checks(plan))
    assert clock_facts(plan)[0].value == "63 min old"
    assert clock_facts(plan)[0].note.endswith("Gel 90 min after initiator, of which 70\xa0% may be used.")
