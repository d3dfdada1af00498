"""What is mixed before the first tap, who does what, and words that mean one thing."""

from __future__ import annotations

import re
from typing import Any

import pytest

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.checks_before import checks
from optimiser.run_sheet.go_ahead import start_ticks
from optimiser.run_sheet.headline import clock_facts, clock_rule
from optimiser.run_sheet.html import render_html
from optimiser.run_sheet.wet_out_map import wet_out_map_svg
from optimiser.run_sheet.what_ifs import what_ifs


@pytest.mark.parametrize(("total_kg", "least"), [(286.6, "78.0"), (41.0, "41.0")])
def test_how_much_is_mixed_before_step_one(fields: dict[str, Any], total_kg: float, least: str) -> None:
    """Hose and manifold, 7.5 kg, and what is gone in ten minutes of the fast day: 0.094 kg/s over 750 s. Never more
    than the whole shot."""
    fields["resin"] |= {"mixes": None, "total_kg": total_kg}
    ticks = start_ticks(PlanDocument.model_validate(fields))
    grams = round(15 * float(least))
    made = f"FIRST MIX MADE, {least} kg or more (hose, manifold, first 10 min)"
    said = f"{made}, {grams} g of initiator in it, more resin: "
    (tick,) = [one for one in ticks if one.startswith(said)]
    assert "15 g for each kg. In PAILS of at most the largest pail: initiator in when all above is ticked" in tick
    assert "WRITE the time of the FIRST PAIL above; warm = CALL" in tick


def test_a_machine_mixes_nothing_beforehand(machine_plan: PlanDocument) -> None:
    """It says in 'Mixing' how its ratio is weighed."""
    assert not any(tick.startswith(("FIRST MIX", "MIX 1")) for tick in start_ticks(machine_plan))


def test_who_watches_the_front_and_who_keeps_the_log_are_named(plan: PlanDocument) -> None:
    """Before the shot, beside who mixes."""
    (watch,) = [row for row in checks(plan) if row.what.startswith("Watches the front")]
    assert re.fullmatch(r"keeps the log, writes every time: _+", watch.planned)
    assert watch.blank == "name"


def test_the_two_clocks_cannot_be_mistaken(plan: PlanDocument) -> None:
    """The limit is an age, the wet-out a minute of the table, and page one says from when each counts."""
    limit, wet = clock_facts(plan)
    assert (limit.value, wet.value) == ("63 min old", "min 48")
    assert "Age of the mix, 'min old': from initiator in" in clock_rule(plan)
    assert "Table minute, as 'min 7': from the FIRST TAP" in clock_rule(plan)


def test_somebody_is_called_before_the_latest_minute_is_over(fields: dict[str, Any]) -> None:
    """3588 s are 59.8 minutes: called at 59, and no minute later."""
    plan = PlanDocument.model_validate(fields | {"spread_wet_out_s": (2_340.0, 3_588.0)})
    (found,) = [one for one in what_ifs(plan) if one.happens.startswith("Not all wet")]
    assert found.happens == "Not all wet at min 59"
    assert found.do.startswith("CALL at min 59")


def test_call_is_for_the_person_in_charge_alone(plan: PlanDocument) -> None:
    """Triggers come and taps are named."""
    page = render_html(plan)
    words = re.sub(r"<style>.*?</style>|class=\"[^\"]*\"", "", page, flags=re.DOTALL)
    assert re.findall(r"\b[Cc]all(?:s|ed|ing)?\b", words) == []
    assert "CALL: tell the person in charge, at once." in page


@pytest.mark.parametrize(("wide_mm", "letters"), [(1_400.0, True), (6_000.0, False)])
def test_the_key_names_letters_only_where_there_are_any(
    fields: dict[str, Any], wide_mm: float, letters: bool
) -> None:
    """A patch that is wide enough bears its whole name."""
    low, high, left = 700.0, 1_700.0, 5_000.0
    border = [(left, low), (left + wide_mm, low), (left + wide_mm, high), (left, high)]
    fields["map"]["areas"][0] |= {"name": "pad", "border_mm": border}
    fields["map"]["runs"] = [run for run in fields["map"]["runs"] if run["kind"] == "vent"]
    if letters:
        fields["map"]["areas"][0]["name"] = "a patch of a very long name round the thruster"
    svg = wet_out_map_svg(PlanDocument.model_validate(fields))
    assert "laminate patch" in svg
    assert ("letter" in svg) is letters
