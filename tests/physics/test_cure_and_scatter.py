"""Cure, heat, thickening and scatter: balances and other ways to the same numbers."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.stats import lognorm

from optimiser.errors import OutOfRangeError
from optimiser.physics import (
    closed_form,
    cure_kinetics,
    lognormal_scatter,
    pipe_flow,
    resin_viscosity,
    resin_volumes,
    two_layers,
    vacuum,
)
from optimiser.physics.arrhenius import GAS_CONSTANT_J_MOL_K, arrhenius_factor

quick = settings(max_examples=40, deadline=None, derandomize=True)

KINETICS = {
    "first_factor_1_s": 1e3,
    "first_energy_j_mol": 55e3,
    "second_factor_1_s": 1e5,
    "second_energy_j_mol": 52e3,
    "share_power": 0.6,
    "rest_power": 1.4,
}
FLOW = {
    "viscosity_factor_pa_s": 1e-7,
    "flow_energy_j_mol": 36e3,
    "gel_share": 0.6,
    "power_at_start": 1.5,
    "power_growth": 1.0,
}


@given(temperature_k=st.floats(288.0, 330.0), time_s=st.floats(60.0, 20_000.0))
@quick
def test_share_and_time_of_cure_are_inverse(temperature_k: float, time_s: float) -> None:
    """One is integrated over time, the other over the share; each undoes the other.

    Tolerance: the steps of the first and the quadrature of the second are held to about 1e-11 each.
    """
    share = cure_kinetics.kamal_cured_share(time_s=time_s, temperature_k=temperature_k, **KINETICS)
    back_s = cure_kinetics.kamal_time_s(cured_share=share, temperature_k=temperature_k, **KINETICS)
    assert back_s == pytest.approx(time_s, rel=1e-8, abs=0)


def test_one_activation_energy_shifts_all_times_alike() -> None:
    """With both energies the same, times at two temperatures stand as Arrhenius' factor, as the gel clock takes it."""
    same = {**KINETICS, "second_energy_j_mol": 55e3}
    cold_s, warm_s = (
        cure_kinetics.kamal_time_s(cured_share=0.5, temperature_k=at_k, **same) for at_k in (293.15, 303.15)
    )
    factor = arrhenius_factor(temperature_k=293.15, reference_k=303.15, activation_energy_j_mol=55e3)
    assert cold_s / warm_s == pytest.approx(factor, rel=1e-10, abs=0)


def test_fresh_resin_is_the_same_in_every_law_of_viscosity() -> None:
    """At no age and no cure the dual law and that of Castro and Macosko are Arrhenius' law."""
    at_k = 301.0
    plain_pa_s = resin_viscosity.arrhenius_viscosity_pa_s(
        reference_viscosity_pa_s=1e-7 * math.exp(36e3 / (GAS_CONSTANT_J_MOL_K * 293.15)),
        reference_k=293.15,
        activation_energy_j_mol=36e3,
        temperature_k=at_k,
    )
    dual_pa_s = resin_viscosity.dual_arrhenius_viscosity_pa_s(
        time_s=0.0,
        temperature_k=at_k,
        viscosity_factor_pa_s=1e-7,
        flow_energy_j_mol=36e3,
        cure_factor_1_s=2e5,
        cure_energy_j_mol=5e4,
    )
    by_cure_pa_s = resin_viscosity.castro_macosko_viscosity_pa_s(cured_share=0.0, temperature_k=at_k, **FLOW)
    assert (dual_pa_s, by_cure_pa_s) == pytest.approx((plain_pa_s, plain_pa_s), rel=1e-12, abs=0)


def test_viscosity_grows_without_bound_towards_gel() -> None:
    """Monotone in the share cured, and beyond any number just below gel."""
    found = [
        resin_viscosity.castro_macosko_viscosity_pa_s(cured_share=float(share), temperature_k=298.15, **FLOW)
        for share in (*np.linspace(0.0, 0.59, 12), 0.6 * (1 - 1e-9))
    ]
    assert found == sorted(found)
    assert found[-1] > 1e9


@given(constant_s=st.floats(1.0, 1790.0))
@quick
def test_thickening_time_and_its_inverse_agree(constant_s: float) -> None:
    """From fresh resin to thickening and back again."""
    thick_s = closed_form.time_while_thickening_s(constant_viscosity_time_s=constant_s, growth_1_s=1 / 1800)
    back_s = closed_form.time_at_constant_viscosity_s(thickening_time_s=thick_s, growth_1_s=1 / 1800)
    assert back_s == pytest.approx(constant_s, rel=1e-9, abs=0)


@pytest.mark.parametrize("variation", [0.05, 0.2, 0.44])
def test_scatter_of_time_is_that_of_a_lognormal_library(variation: float) -> None:
    """SciPy's lognormal permeability of mean one: time is its inverse."""
    deviation = lognormal_scatter.log_deviation(variation)
    permeability = lognorm(deviation, scale=math.exp(-(deviation**2) / 2))
    assert (permeability.mean(), permeability.std()) == pytest.approx((1.0, variation), rel=1e-12, abs=0)
    for chance in (0.01, 0.3, 0.9):
        found = lognormal_scatter.time_ratio_at_chance(variation=variation, chance=chance)
        assert found == pytest.approx(1 / permeability.ppf(1 - chance), rel=1e-10, abs=0)
    mean = permeability.expect(lambda ratio: 1 / ratio)
    assert lognormal_scatter.mean_time_ratio(variation) == pytest.approx(mean, rel=1e-7, abs=0)


def test_leak_that_fills_the_bag_is_the_leak_of_the_drop_test() -> None:
    """The air let in over the test, at the pressure it rose by, takes up the bag."""
    leak = vacuum.leak_rate_pa_m3_s(volume_m3=0.05, pressure_rise_pa=500.0, time_s=600.0)
    assert vacuum.air_let_in_m3(leak_pa_m3_s=leak, time_s=600.0, pressure_pa=500.0) == pytest.approx(0.05, rel=1e-12)


def test_pumping_against_a_leak_takes_the_time_of_its_balance() -> None:
    """V dp/dt = Q - S p, integrated until the pressure is down."""
    run = solve_ivp(
        lambda _time_s, pressure_pa: [(1.0 - 0.005 * pressure_pa[0]) / 0.1],
        (0.0, 1000.0),
        [101_325.0],
        events=lambda _time_s, pressure_pa: pressure_pa[0] - 400.0,
        rtol=1e-10,
        atol=1e-8,
    )
    found_s = vacuum.pump_down_time_s(
        volume_m3=0.1, pump_speed_m3_s=0.005, start_pressure_pa=101_325.0, end_pressure_pa=400.0, leak_pa_m3_s=1.0
    )
    assert found_s == pytest.approx(run.t_events[0][0], rel=1e-7, abs=0)


TABLE = ((293.15, 0.0, 0.30), (293.15, 3600.0, 0.60), (303.15, 0.0, 0.18), (303.15, 1800.0, 0.40))


@pytest.mark.parametrize(("temperature_k", "age_s", "viscosity_pa_s"), TABLE)
def test_viscosity_of_a_table_passes_through_its_points(
    temperature_k: float, age_s: float, viscosity_pa_s: float
) -> None:
    """At a measured temperature and age the measured viscosity comes back, and 0.04 K beside it the same."""
    for at_k in (temperature_k, temperature_k + 0.04, temperature_k - 0.04):
        found = resin_viscosity.viscosity_at_age_pa_s(TABLE, temperature_k=at_k, age_s=age_s)
        assert found == pytest.approx(viscosity_pa_s, rel=1e-12, abs=0)


@pytest.mark.parametrize(
    ("temperature_k", "age_s"), [(298.15, 1801.0), (293.15, 3601.0), (293.15, -1.0), (293.0, 0.0), (303.3, 0.0)]
)
def test_viscosity_of_a_table_is_not_guessed_beyond_it(temperature_k: float, age_s: float) -> None:
    """Neither past the last age at a temperature that is needed, nor colder or warmer than was measured."""
    with pytest.raises(OutOfRangeError):
        resin_viscosity.viscosity_at_age_pa_s(TABLE, temperature_k=temperature_k, age_s=age_s)


@pytest.mark.parametrize("table", [(), ((293.15, 0.0, 0.0),), ((293.15, 0.0, 0.3), (293.15, 0.0, 0.4))], ids=str)
def test_a_table_that_says_nothing_is_refused(table: tuple[tuple[float, float, float], ...]) -> None:
    """No point, no viscosity, and two viscosities at once are no data."""
    with pytest.raises(OutOfRangeError):
        resin_viscosity.viscosity_at_age_pa_s(table, temperature_k=293.15, age_s=0.0)


def refused() -> list[tuple[str, Callable[[], object]]]:
    fresh = {"cured_share": 0.1, "temperature_k": 298.15}
    heat = {"heat_of_cure_j_kg": 3e5, "resin_heat_j_kg_k": 1900.0, "fibre_heat_j_kg_k": 800.0}
    return [
        ("more than all cured", lambda: cure_kinetics.kamal_rate_1_s(**{**fresh, "cured_share": 1.1}, **KINETICS)),
        ("no temperature", lambda: cure_kinetics.kamal_rate_1_s(**{**fresh, "temperature_k": 0.0}, **KINETICS)),
        ("before the start", lambda: cure_kinetics.kamal_cured_share(time_s=-1.0, temperature_k=298.15, **KINETICS)),
        ("all of it", lambda: cure_kinetics.kamal_time_s(cured_share=1.0, temperature_k=298.15, **KINETICS)),
        ("fibre alone", lambda: cure_kinetics.adiabatic_rise_k(fibre_mass_fraction=1.0, **heat)),
        (
            "flow at gel",
            lambda: resin_viscosity.castro_macosko_viscosity_pa_s(cured_share=0.6, temperature_k=298.15, **FLOW),
        ),
        (
            "flow at absolute zero",
            lambda: resin_viscosity.castro_macosko_viscosity_pa_s(cured_share=0.0, temperature_k=0.0, **FLOW),
        ),
        ("negative variation", lambda: lognormal_scatter.log_deviation(-0.1)),
        ("certainty", lambda: lognormal_scatter.time_ratio_at_chance(variation=0.1, chance=1.0)),
        ("no growth", lambda: closed_form.time_at_constant_viscosity_s(thickening_time_s=1.0, growth_1_s=0.0)),
        ("air at no pressure", lambda: vacuum.air_let_in_m3(leak_pa_m3_s=0.1, time_s=1.0, pressure_pa=0.0)),
        ("air at no temperature", lambda: vacuum.air_let_in_kg(leak_pa_m3_s=0.1, time_s=1.0, temperature_k=0.0)),
        (
            "a pump below what it holds",
            lambda: vacuum.pump_down_time_s(
                volume_m3=0.1, pump_speed_m3_s=0.005, start_pressure_pa=1e5, end_pressure_pa=200.0, leak_pa_m3_s=1.0
            ),
        ),
        ("no pump", lambda: vacuum.held_pressure_pa(leak_pa_m3_s=0.1, pump_speed_m3_s=0.0)),
        ("a pump to nothing", lambda: vacuum.least_pump_speed_m3_s(leak_pa_m3_s=0.1, pressure_pa=0.0)),
        (
            "a bag that falls",
            lambda: vacuum.rise_time_s(
                start_pressure_pa=2e3, end_pressure_pa=1e3, test_pressure_rise_pa=500.0, test_time_s=600.0
            ),
        ),
        ("a way that passes less than nothing", lambda: pipe_flow.in_series_m3((1e-11, -1e-12))),
        ("no feed", lambda: pipe_flow.pressure_share_behind(feed_m3=0.0, drawn_m3=1e-11)),
        ("drawn the wrong way", lambda: pipe_flow.pressure_share_behind(feed_m3=1e-11, drawn_m3=-1e-11)),
        ("more pores than layer", lambda: resin_volumes.layer_resin_m3(area_m2=1.0, thickness_m=0.1, porosity=1.1)),
        ("grooves without pitch", lambda: resin_volumes.groove_pore_depth_m(width_m=0.1, depth_m=0.1, pitch_m=0.0)),
        ("holes without pitch", lambda: resin_volumes.hole_pore_depth_m(diameter_m=0.1, pitch_m=0.0, depth_m=0.1)),
        ("layers in one", lambda: two_layers.conductance_between_m(permeability_through_m2=1e-12, apart_m=0.0)),
        (
            "nothing through",
            lambda: two_layers.levelling_length_m(
                one_m3=1e-12, other_m3=1e-12, permeability_through_m2=0.0, apart_m=0.01
            ),
        ),
    ]


@pytest.mark.parametrize("ask", [pytest.param(ask, id=what) for what, ask in refused()])
def test_what_cannot_be_is_refused(ask: Callable[[], object]) -> None:
    """Outside its range a law raises and gives no number."""
    with pytest.raises(OutOfRangeError):
        ask()
