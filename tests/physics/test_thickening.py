"""Resin that thickens while temperature changes: against closed forms, quadrature and an integrator of SciPy."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from optimiser.errors import OutOfRangeError
from optimiser.physics.arrhenius import GAS_CONSTANT_J_MOL_K
from optimiser.physics.cure_kinetics import kamal_cured_share, kamal_cured_shares, kamal_rate_1_s
from optimiser.physics.gel_clock import arrhenius_gel_time_s, gel_time_in_history_s
from optimiser.physics.resin_viscosity import castro_macosko_viscosity_pa_s, dual_arrhenius_viscosity_pa_s
from optimiser.physics.thickening import (
    share_of_gel_spent,
    thickening_at_share,
    thickening_by_cure,
    thickening_by_law,
)

RESIN = {"reference_gel_time_s": 3600.0, "reference_k": 298.15, "activation_energy_j_mol": 50_000.0}
"""Gel in an hour at 25 C, invented; the gel times below are worked out in `tests/check_values/gel_history.csv`."""
LAW = {"cure_factor_1_s": 2e5, "cure_energy_j_mol": 50_000.0}
CURE = {
    "first_factor_1_s": 5e3,
    "first_energy_j_mol": 55_000.0,
    "second_factor_1_s": 5e5,
    "second_energy_j_mol": 52_000.0,
    "share_power": 0.6,
    "rest_power": 1.4,
}
GELLED = {"gel_share": 0.65, "power_at_start": 1.5, "power_growth": 1.0}
CURED = 2e-5
"""Share cured that 512 moments may be off: cure begins so steeply that the first of them is the worst."""
TRAPEZOIDS = 1e-6


def gel_s(temperature_k: float) -> float:
    return arrhenius_gel_time_s(**RESIN, temperature_k=temperature_k)


@pytest.mark.parametrize(
    ("history", "gels_min"),
    [
        (((0.0, 293.15), (12_000.0, 313.15)), 66.6789835),
        (((0.0, 293.15), (1800.0, 293.15), (1800.0, 303.15), (6000.0, 303.15)), 57.7714790),
    ],
)
def test_the_share_spent_is_one_when_it_gels(history: tuple[tuple[float, float], ...], gels_min: float) -> None:
    """A ramp of 0.1 C a minute, and a step from 20 to 30 C at minute 30 (additive shares, derived)."""
    table = np.concatenate([np.linspace(start, end, 400) for start, end in pairwise(history)])
    spent = share_of_gel_spent(time_s=table[:, 0], gel_time_s=np.array([gel_s(each_k) for each_k in table[:, 1]]))
    assert float(np.interp(1.0, spent, table[:, 0])) == pytest.approx(60 * gels_min, rel=1e-5)
    assert gel_time_in_history_s(history, gel_s) == pytest.approx(60 * gels_min, rel=5e-9)


def test_a_table_of_even_growth_thickens_by_the_exponential() -> None:
    """mu0 exp(t / tau) at one temperature; the share of the gel time is the age over it (derived)."""
    ages_s, tau_s = np.array([0.0, 1200.0, 3600.0]), 1800.0
    spent = np.linspace(0, 1, 11)
    found = thickening_at_share(
        spent, ages_s=ages_s, viscosities_pa_s=0.25 * np.exp(ages_s / tau_s), gel_time_s=3600.0
    )
    assert found == pytest.approx(np.exp(3600.0 * spent / tau_s), rel=1e-12)


def test_the_law_at_one_temperature_is_the_dual_arrhenius_law() -> None:
    """Over its own value at time 0; constants invented, form of Roller 1975 (from memory)."""
    time_s, at_k = np.linspace(0.0, 3000.0, 7), 293.15
    found = thickening_by_law(time_s=time_s, temperature_k=np.full(7, at_k), **LAW)
    dual = [
        dual_arrhenius_viscosity_pa_s(
            time_s=float(each_s), temperature_k=at_k, viscosity_factor_pa_s=1e-7, flow_energy_j_mol=36_000.0, **LAW
        )
        for each_s in time_s
    ]
    assert found == pytest.approx(np.array(dual) / dual[0], rel=1e-12)


def test_the_law_along_a_ramp_is_what_an_integrator_finds() -> None:
    """d ln(mu / mu_fresh) / dt = k exp(-E / (R T)), by SciPy's Radau, 20 C rising by 0.1 C a minute."""

    def temperature_k(at_s: float) -> float:
        return 293.15 + 0.1 * at_s / 60

    def rate_1_s(at_s: float, _: object) -> list[float]:
        kt_j_mol = GAS_CONSTANT_J_MOL_K * temperature_k(at_s)
        return [LAW["cure_factor_1_s"] * math.exp(-LAW["cure_energy_j_mol"] / kt_j_mol)]

    end_s = 4000.0
    referee = solve_ivp(rate_1_s, (0.0, end_s), [0.0], method="Radau", rtol=1e-11, atol=1e-13).y[0, -1]
    time_s = np.linspace(0.0, end_s, 513)
    found = thickening_by_law(time_s=time_s, temperature_k=temperature_k(time_s), **LAW)  # type: ignore[arg-type]
    assert float(found[-1]) == pytest.approx(math.exp(referee), rel=TRAPEZOIDS)


def test_twice_as_fast_a_cure_is_as_thick_in_half_the_time() -> None:
    """More initiator: times_as_fast (derived)."""
    time_s = np.linspace(0.0, 3000.0, 7)
    steady_k = np.full(7, 293.15)
    once = thickening_by_law(time_s=time_s, temperature_k=steady_k, **LAW)
    twice = thickening_by_law(time_s=time_s / 2, temperature_k=steady_k, times_as_fast=2.0, **LAW)
    assert twice == pytest.approx(once, rel=1e-12)


@pytest.mark.parametrize("ages_s", [[10.0, 20.0], [0.0, 20.0, 20.0]])
def test_ages_out_of_order_are_refused(ages_s: list[float]) -> None:
    """The first is 0, and they rise."""
    with pytest.raises(OutOfRangeError):
        thickening_at_share(
            np.array([0.5]), ages_s=np.array(ages_s), viscosities_pa_s=np.ones(len(ages_s)), gel_time_s=3600.0
        )


@pytest.mark.parametrize("times_as_fast", [1.0, 2.0])
def test_cure_over_moments_is_the_integral_of_its_rate(times_as_fast: float) -> None:
    """At one temperature by the adaptive integrator of `kamal_cured_share`; twice as fast in half the time."""
    time_s = np.linspace(0.0, 7200.0, 513)
    shares = kamal_cured_shares(
        time_s=time_s / times_as_fast, temperature_k=np.full(513, 298.15), times_as_fast=times_as_fast, **CURE
    )
    for at in (128, 256, 512):
        exact = kamal_cured_share(time_s=float(time_s[at]), temperature_k=298.15, **CURE)
        assert shares[at] == pytest.approx(exact, abs=CURED)


def test_cure_along_a_ramp_is_what_an_integrator_finds() -> None:
    """20 C rising by 0.1 C a minute, by SciPy's Radau."""
    time_s = np.linspace(0.0, 7200.0, 513)

    def temperature_k(at_s: float) -> float:
        return 293.15 + at_s / 600.0

    run = solve_ivp(
        lambda at_s, a: [kamal_rate_1_s(cured_share=float(a[0]), temperature_k=temperature_k(at_s), **CURE)],
        (0.0, 7200.0),
        [0.0],
        method="Radau",
        rtol=1e-9,
        atol=1e-12,
    )
    shares = kamal_cured_shares(time_s=time_s, temperature_k=293.15 + time_s / 600.0, **CURE)
    assert shares[-1] == pytest.approx(run.y[0, -1], abs=CURED)


@pytest.mark.parametrize("cured_share", [0.0, 0.3, 0.6])
def test_thickening_by_cure_is_that_of_castro_and_macosko(cured_share: float) -> None:
    """Over fresh resin, with the set remembered of their paper; near gel it stays finite."""
    law = {"viscosity_factor_pa_s": 10.3e-8, "flow_energy_j_mol": 41_300.0, "temperature_k": 313.15, **GELLED}
    fresh, cured = (castro_macosko_viscosity_pa_s(cured_share=share, **law) for share in (0.0, cured_share))
    assert thickening_by_cure(np.array([cured_share]), **GELLED)[0] == pytest.approx(cured / fresh)
    assert np.isfinite(thickening_by_cure(np.array([0.65, 0.9]), **GELLED)).all()


def test_a_resin_that_gels_at_no_cure_is_refused() -> None:
    """Nor is anything cured below 0 K."""
    with pytest.raises(OutOfRangeError, match="share cured at gel"):
        thickening_by_cure(np.zeros(2), gel_share=0.0, power_at_start=1.0, power_growth=1.0)
    with pytest.raises(OutOfRangeError, match="0 K"):
        kamal_cured_shares(time_s=np.arange(2.0), temperature_k=np.array([20.0, -5.0]), **CURE)
