"""A sweep of one bay against Darcy's law, Arrhenius' law and the power law of initiator.

Wet-out of one even bay: t = phi mu L^2 / (2 K dP) (Darcy 1856 and volume balance), so it scales with viscosity alone.
Viscosity and gel time: Arrhenius' law; level of initiator: t ~ C^-n with n = 1 (common practice, no source).
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from optimiser.revalidation.answer import Way
from optimiser.sweep.sweep_document import CellState

R = 8.314462618
"""J/(mol K), SI Brochure, 9th edition."""
TEMPERATURES_C, LEVELS_PERCENT = (15.0, 20.0, 25.0, 30.0), (1.0, 1.5, 2.0)
SETTINGS = [(each_c, percent) for each_c in TEMPERATURES_C for percent in LEVELS_PERCENT]
DIGITS = 1e-7
"""The points are given to nine digits."""


def arrhenius(at_25_c: float, energy_j_mol: float, temperature_c: float) -> float:
    return at_25_c * math.exp(energy_j_mol / R * (1 / (temperature_c + 273.15) - 1 / 298.15))


def viscosity_pa_s(temperature_c: float) -> float:
    return arrhenius(0.25, 35_000, temperature_c)


def gel_time_s(temperature_c: float, initiator_percent: float) -> float:
    return 60 * arrhenius(60, 50_000, temperature_c) / initiator_percent


def darcy_s(temperature_c: float) -> float:
    return 0.5 * viscosity_pa_s(temperature_c) * 0.7**2 / (2 * 2e-10 * 9e4)


def test_wet_out_is_that_of_darcys_law(looked_up: Any) -> None:
    """To 0.5 %: the strip has 35 cells, and line and hose, which the law knows nothing of, are filled first."""
    assert looked_up.own.wet_out_s == pytest.approx(darcy_s(20), rel=5e-3)


@pytest.mark.parametrize(("temperature_c", "initiator_percent"), SETTINGS)
def test_wet_out_scales_with_viscosity_by_look_up(
    looked_up: Any, temperature_c: float, initiator_percent: float
) -> None:
    """In Darcy's law time goes with viscosity; the level of initiator does not move the front."""
    cell = looked_up.cell(temperature_c, initiator_percent)
    ratio = viscosity_pa_s(temperature_c) / viscosity_pa_s(20)
    assert cell.way is Way.LOOK_UP
    assert cell.wet_out_s == pytest.approx(ratio * looked_up.own.wet_out_s, rel=DIGITS)
    assert cell.latest_wet_out_s == pytest.approx(ratio * looked_up.own.latest_wet_out_s, rel=DIGITS)


def test_the_slow_end_goes_with_the_spread(looked_up: Any) -> None:
    """All permeabilities lower by 25 %: time goes with one over permeability. To 0.1 %: line and hose keep theirs."""
    assert looked_up.own.latest_wet_out_s == pytest.approx(1.25 * looked_up.own.wet_out_s, rel=1e-3)


def test_a_network_run_finds_what_the_look_up_finds(bay: Any, looked_up: Any) -> None:
    """The same bay, with a clock in its sequence that forbids a look-up: to 0.01 %, time as said by Darcy's law."""
    played = bay.sweep(bay.with_a_clock)
    for cell, found in zip(played.cells, looked_up.cells, strict=True):
        assert cell.way is (Way.LOOK_UP if cell.mould_temperature_c == 20 else Way.FULL_RUN)
        assert cell.wet_out_s == pytest.approx(found.wet_out_s, rel=1e-4)
        assert cell.gel_limit_s == found.gel_limit_s
        assert cell.state is found.state
        assert cell.resin_kg == pytest.approx(found.resin_kg, rel=1e-3)
    (why,) = played.looked_up_not
    assert why == "15, 25, 30 degrees C: V goes by the clock"


def test_all_levels_of_a_temperature_share_its_runs(bay: Any) -> None:
    """One run and five of the spread where the level that gels last is in time; the others need none of their own."""
    played = bay.sweep(bay.with_a_clock)
    assert played.network_runs == 3 * 6


@pytest.mark.parametrize(("temperature_c", "initiator_percent"), SETTINGS)
def test_gel_limit_and_margin_are_those_of_the_laws(
    looked_up: Any, temperature_c: float, initiator_percent: float
) -> None:
    """Arrhenius' law and t ~ 1 / C; the limit is 70 % of it; margin is limit less wet-out, to the last bit."""
    cell = looked_up.cell(temperature_c, initiator_percent)
    assert cell.viscosity_mpa_s == pytest.approx(1e3 * viscosity_pa_s(temperature_c), rel=DIGITS)
    assert cell.gel_time_s == pytest.approx(gel_time_s(temperature_c, initiator_percent), rel=DIGITS)
    assert cell.gel_limit_s == pytest.approx(0.7 * cell.gel_time_s, rel=1e-12)
    assert cell.gel_margin_s == cell.gel_limit_s - cell.wet_out_s


@pytest.mark.parametrize(("temperature_c", "initiator_percent"), SETTINGS)
def test_the_word_is_that_of_the_numbers(looked_up: Any, temperature_c: float, initiator_percent: float) -> None:
    """By the closed forms alone: none is within 1 % of the limit, twice what the network may err."""
    cell = looked_up.cell(temperature_c, initiator_percent)
    wet_s, limit_s = darcy_s(temperature_c), 0.7 * gel_time_s(temperature_c, initiator_percent)
    latest_s = 1.25 * wet_s
    assert min(abs(wet_s - limit_s), abs(latest_s - limit_s)) > 0.01 * limit_s
    expected = CellState.LATE if wet_s > limit_s else CellState.TIGHT if latest_s > limit_s else CellState.HOLDS
    assert cell.state is expected


def test_the_bay_shows_all_three_words(looked_up: Any) -> None:
    """Otherwise the test above would say little."""
    assert {cell.state for cell in looked_up.cells} == {CellState.HOLDS, CellState.TIGHT, CellState.LATE}


def test_most_margin_is_at_the_cold_end_with_least_initiator(looked_up: Any) -> None:
    """Gel time of 50 kJ/mol falls faster than viscosity of 35, so margin falls with temperature (Arrhenius)."""
    best = looked_up.most_margin
    assert (best.mould_temperature_c, best.initiator_percent) == (15.0, 1.0)


def test_resin_is_pore_volume_and_initiator_goes_with_its_level(looked_up: Any) -> None:
    """Kilograms by volume balance: sheet 0.7 x 0.1 m, four plies of 800 g/m2 at half fibre, half pores, 10 % reserve.

    Line and hose are added by their bores. To 0.1 %: what the vent draws is the rest.
    """
    thickness_m = 4 * 0.8 / (2550 * 0.5)
    pipes_m3 = math.pi / 4 * 0.012**2 * (0.1 + 0.02)
    exact_kg = 1.1 * 1080 * (0.7 * 0.1 * thickness_m * 0.5 + pipes_m3)
    for cell in looked_up.cells:
        assert cell.resin_kg == pytest.approx(exact_kg, rel=1e-3)
        assert cell.initiator_kg == pytest.approx(cell.resin_kg * cell.initiator_percent / 100, rel=1e-12)


def test_a_lock_is_told_at_every_level_of_its_temperature(bay: Any) -> None:
    """Clamped at 600 s by the clock the far end is dry at every temperature (Darcy: 1349 s at least); nothing holds."""
    found = bay.sweep(bay.clamped_too_early)
    assert {cell.state for cell in found.cells} == {CellState.FAILS}
    assert all(cell.reason.startswith("no region may be cut off from its vent") for cell in found.cells)
    assert found.most_margin is None


def test_the_resin_stays_as_much_colder_as_in_the_case(bay: Any) -> None:
    """Thick at the colder, quick at the warmer of the two: Arrhenius' law at each."""
    found = bay.sweep(bay.open, (25.0, 28.0), process={"mould_temperature_c": 25, "resin_temperature_c": 21})
    cell = found.cell(28.0, 1.5)
    assert (found.resin_warmer_k, cell.resin_temperature_c) == (-4.0, 24.0)
    assert cell.viscosity_mpa_s == pytest.approx(1e3 * viscosity_pa_s(24), rel=DIGITS)
    assert cell.gel_time_s == pytest.approx(gel_time_s(28, 1.5), rel=DIGITS)


def test_beyond_the_data_a_cell_says_why_and_nothing_else(bay: Any) -> None:
    """Outside the viscosity points, and outside the range entered, though gel times are known there."""
    found = bay.sweep(
        bay.open,
        (14.0, 20.0),
        (1.0, 1.5, 2.0),
        resin={"initiator": {"level_percent": 1.5, "least_percent": 1.2, "most_percent": 2.0}},
    )
    cold, low = found.cell(14.0, 1.5), found.cell(20.0, 1.0)
    assert "viscosity is measured from 15.0 to 30.0 degrees C" in cold.reason
    assert low.reason == "outside the initiator range entered in the case, 1.2 to 2 %"
    for cell in (cold, low):
        assert cell.state is CellState.NOT_JUDGED
        times = (cell.wet_out_s, cell.gel_time_s, cell.gel_limit_s, cell.gel_margin_s, cell.latest_wet_out_s)
        assert {*times, cell.resin_kg, cell.initiator_kg, cell.viscosity_mpa_s, cell.way} == {None}


def test_a_run_is_what_checking_the_sequence_there_finds(bay: Any) -> None:
    """The long way: the case at that setting, its sequence checked; bit for bit."""
    cell = bay.sweep(bay.with_a_clock).cell(25.0, 1.5)
    case = bay.case(process={"mould_temperature_c": 25, "resin_temperature_c": 25})
    checked = bay.plan(case, bay.with_a_clock)
    assert cell.wet_out_s == checked.wet_out_s
    assert cell.latest_wet_out_s == checked.spread_wet_out_s[1]
    assert (cell.gel_limit_s, cell.gel_margin_s) == (checked.gel_limit_s, checked.gel_margin_s)
    assert (cell.resin_kg, cell.initiator_kg) == (checked.resin.total_kg, pytest.approx(checked.resin.initiator_kg))
