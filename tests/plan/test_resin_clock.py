"""The resin's clock over a shot, and a strip filled by it: against closed forms (derived, of Darcy's law).

Data sheets are invented and follow Arrhenius' law, so that points between them do too.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad

from optimiser.part.resin import (
    AgedPoint,
    CureLaw,
    GelPoint,
    MeasuredThickening,
    Resin,
    ThickeningLaw,
    ViscosityPoint,
)
from optimiser.part.shot import Temperatures
from optimiser.physics.arrhenius import arrhenius_factor
from optimiser.physics.closed_form import linear_fill_time_s, time_while_thickening_s
from optimiser.physics.cure_kinetics import kamal_cured_share
from optimiser.physics.gel_clock import gel_time_in_history_s
from optimiser.physics.resin_viscosity import dual_arrhenius_viscosity_pa_s
from optimiser.plan.resin_clock import ResinClock, clock_of

FRESH_PA_S, COLD_K, WARM_K = 0.2, 293.15, 303.15
FLOW_J_MOL, GEL_J_MOL = 35_000.0, 50_000.0
GEL_S = 3600.0
"""At 25 C."""
LEVEL = 0.015
TABLED = 2e-5
"""Trapezoids of the clock's table, and its jumps."""
ON_CELLS = 5e-3
"""A strip of forty cells against a front that is a line."""


def fresh_pa_s(at_k: float) -> float:
    """0.2 Pa s at 20 C."""
    return FRESH_PA_S * arrhenius_factor(
        temperature_k=at_k, reference_k=COLD_K, activation_energy_j_mol=FLOW_J_MOL
    )


def gel_s(at_k: float, level: float = LEVEL) -> float:
    """With a power law of the level, t ~ 1 / C (common practice, no source)."""
    factor = arrhenius_factor(temperature_k=at_k, reference_k=298.15, activation_energy_j_mol=GEL_J_MOL)
    return GEL_S * factor * LEVEL / level


def resin(**changed: Any) -> Resin:
    points_k = (283.15, COLD_K, 298.15, WARM_K, 313.15)
    return Resin(
        **{
            "name": "invented",
            "batch": "1",
            "density_kg_m3": 1100.0,
            "viscosity_points": tuple(
                ViscosityPoint(temperature_k=each_k, viscosity_pa_s=fresh_pa_s(each_k)) for each_k in points_k
            ),
            "gel_points": tuple(
                GelPoint(temperature_k=each_k, initiator_fraction=level, gel_time_s=gel_s(each_k, level))
                for each_k in points_k
                for level in (0.01, LEVEL, 0.02)
            ),
            "initiator_fraction": LEVEL,
            "initiator_least_fraction": 0.01,
            "initiator_most_fraction": 0.02,
            **changed,
        }
    )


def growing(tau_s: float, *, at_k: float = COLD_K, level: float = LEVEL) -> MeasuredThickening:
    """A test in which viscosity grows e-fold in `tau_s`, until gel."""
    ages_s = (0.0, 0.4 * gel_s(at_k, level), gel_s(at_k, level))
    return MeasuredThickening(
        temperature_k=at_k,
        initiator_fraction=level,
        points=tuple(AgedPoint(age_s=age_s, viscosity_pa_s=0.3 * math.exp(age_s / tau_s)) for age_s in ages_s),
    )


def at(*rows: tuple[float, float]) -> tuple[Temperatures, ...]:
    """Mould and resin alike."""
    return tuple(Temperatures(at_s=at_s, mould_k=at_k, resin_k=at_k) for at_s, at_k in rows)


STEADY = at((0.0, COLD_K))
STEP = at((0.0, COLD_K), (600.0, COLD_K), (600.0, WARM_K), (20_000.0, WARM_K))


def fill_s(mould: Any, clock: ResinClock, length_m: float = 0.4) -> tuple[float, float]:
    """Wet-out of a strip, and what it would take with fresh resin at 20 C."""
    fresh_s = linear_fill_time_s(
        porosity=0.5, viscosity_pa_s=FRESH_PA_S, length_m=length_m, permeability_m2=1e-10, pressure_difference_pa=9e4
    )
    strip = mould.strip(length_m, 40, mould.laminate(permeability_m2=1e-10))
    filled = mould.fill(strip, length_m / 40, *mould.open_at_start("0"), clock=clock.fluidity)
    return filled.run.wet_out_s, fresh_s


def test_resin_that_stays_as_it_is_has_one_viscosity_and_one_gel_time() -> None:
    """The clock that plans had before any of this."""
    clock = clock_of(resin(), STEADY, 0.0)
    assert clock.fluidity.constant
    assert clock.fresh_pa_s == pytest.approx(FRESH_PA_S, rel=1e-12)
    assert clock.gel_time_s == pytest.approx(gel_s(COLD_K), rel=1e-12)
    assert clock.limit_s(0.7) == 0.7 * clock.gel_time_s


@pytest.mark.parametrize("age_s", [0.0, 600.0])
def test_a_strip_of_resin_that_thickens_evenly(mould: Any, age_s: float) -> None:
    """mu0 exp(t / tau): t = tau ln(1 + ...), `closed_form.time_while_thickening_s`; older resin begins thicker."""
    tau_s = 1800.0
    clock = clock_of(resin(thickening=growing(tau_s)), STEADY, age_s)
    wet_s, fresh_s = fill_s(mould, clock)
    begins_s = fresh_s * math.exp(age_s / tau_s)
    expected_s = time_while_thickening_s(constant_viscosity_time_s=begins_s, growth_1_s=1 / tau_s)
    assert wet_s > 1.15 * fresh_s
    assert wet_s == pytest.approx(expected_s, rel=ON_CELLS)
    assert clock.viscosity_at(900.0) == pytest.approx(FRESH_PA_S * math.exp((age_s + 900.0) / tau_s), rel=TABLED)


def test_a_strip_by_kinetics_of_cure(mould: Any) -> None:
    """Kamal's rate and Castro and Macosko's viscosity at one temperature: wet when the integral of fluidity says so.

    SciPy's quadrature of fresh over actual viscosity; with two thirds of the initiator cure takes half as long again.
    """
    kinetics = {
        "first_factor_1_s": 2e4,
        "first_energy_j_mol": 55_000.0,
        "second_factor_1_s": 2e6,
        "second_energy_j_mol": 52_000.0,
        "share_power": 0.6,
        "rest_power": 1.4,
    }
    gelled = {"gel_share": 0.65, "power_at_start": 1.5, "power_growth": 1.0}
    law = CureLaw(initiator_fraction=LEVEL, **kinetics, **gelled, fitted_to_pa_s=10.0)
    for level, times_as_fast in ((LEVEL, 1.0), (0.01, LEVEL / 0.01)):
        clock = clock_of(resin(thickening=law, initiator_fraction=level), STEADY, 0.0)
        wet_s, fresh_s = fill_s(mould, clock)

        def fluidity(at_s: float, slower: float = times_as_fast) -> float:
            cured = kamal_cured_share(time_s=at_s / slower, temperature_k=COLD_K, **kinetics)
            return ((gelled["gel_share"] - cured) / gelled["gel_share"]) ** (1.5 + cured)

        done_s, _ = quad(fluidity, 0.0, wet_s, epsrel=1e-6)
        assert done_s == pytest.approx(fresh_s, rel=ON_CELLS)
        assert wet_s > 1.03 * fresh_s
    assert not clock.law_reaches(3 * clock.gel_time_s)


def test_a_strip_by_the_dual_arrhenius_law(mould: Any) -> None:
    """At one temperature its second exponent grows evenly with time: k_inf exp(-E2 / RT) = 1 / tau."""
    law = ThickeningLaw(initiator_fraction=LEVEL, cure_factor_1_s=4e5, cure_energy_j_mol=5e4, fitted_to_pa_s=10.0)
    clock = clock_of(resin(thickening=law), STEADY, 0.0)
    first, later = (
        dual_arrhenius_viscosity_pa_s(
            time_s=time_s,
            temperature_k=COLD_K,
            viscosity_factor_pa_s=1e-7,
            flow_energy_j_mol=FLOW_J_MOL,
            cure_factor_1_s=4e5,
            cure_energy_j_mol=5e4,
        )
        for time_s in (0.0, 1000.0)
    )
    growth_1_s = math.log(later / first) / 1000.0
    wet_s, fresh_s = fill_s(mould, clock)
    expected_s = time_while_thickening_s(constant_viscosity_time_s=fresh_s, growth_1_s=growth_1_s)
    assert expected_s > 1.1 * fresh_s
    assert wet_s == pytest.approx(expected_s, rel=ON_CELLS)


def test_a_strip_through_a_step_of_temperature(mould: Any) -> None:
    """t1 at mu1, the rest at mu2: t = t1 + mu2 (theta - t1 / mu1), theta of the whole fill (derived)."""
    wet_s, fresh_s = fill_s(mould, clock_of(resin(), STEP, 0.0))
    assert fresh_s > 700.0
    expected_s = 600.0 + (fresh_s - 600.0) * fresh_pa_s(WARM_K) / FRESH_PA_S
    assert expected_s < 0.9 * fresh_s
    assert wet_s == pytest.approx(expected_s, rel=ON_CELLS)


def test_gel_through_a_step_of_temperature() -> None:
    """Half an hour at 20 C, then 30 C: 57.7714790 min for 60 min at 25 C and 50 kJ/mol (additive shares, derived)."""
    course = at((0.0, COLD_K), (1800.0, COLD_K), (1800.0, WARM_K), (6000.0, WARM_K))
    assert clock_of(resin(), course, 0.0).gel_time_s == pytest.approx(60 * 57.7714790, rel=TABLED)


def test_resin_mixed_after_the_step_gels_as_at_that_temperature() -> None:
    """And resin mixed before the first tap has that much less left."""
    clock = clock_of(resin(), STEP, 300.0)
    births_s = np.array([-300.0, 0.0, 700.0, 30_000.0])
    first, at_tap, later, last = clock.gel_time_of(births_s)
    assert first == pytest.approx(clock.gel_time_s, rel=1e-9)
    assert first == pytest.approx(900.0 + (1 - 900.0 / gel_s(COLD_K)) * gel_s(WARM_K), rel=TABLED)
    assert at_tap == pytest.approx(600.0 + (1 - 600.0 / gel_s(COLD_K)) * gel_s(WARM_K), rel=TABLED)
    assert (later, last) == pytest.approx((gel_s(WARM_K), gel_s(WARM_K)), rel=TABLED)


def test_the_limit_comes_when_the_share_is_spent_where_the_shop_cools() -> None:
    """An hour at 30 C, then 10 C: 70 % are spent within the hour, long before 70 % of the time to gel."""
    fast_s, slow_s = gel_s(WARM_K), gel_s(283.15)
    turn_s = 0.9 * fast_s
    cools = clock_of(resin(), at((0.0, WARM_K), (turn_s, WARM_K), (turn_s, 283.15), (30_000.0, 283.15)), 0.0)
    assert cools.gel_time_s == pytest.approx(turn_s + 0.1 * slow_s, rel=TABLED)
    assert cools.limit_s(0.7) == pytest.approx(0.7 * fast_s, rel=TABLED)
    assert cools.limit_s(0.7) < 0.99 * 0.7 * cools.gel_time_s
    warms = clock_of(resin(), STEP, 0.0)
    assert warms.limit_s(0.7) == pytest.approx(0.7 * warms.gel_time_s, rel=1e-12)


@pytest.mark.parametrize("after_k", [283.15, 313.15])
def test_resin_mixed_later_is_never_held_to_an_earlier_moment(after_k: float) -> None:
    """In a shop that warms or cools: so judging each place by its own resin is never stricter than by the oldest.

    (1 - f) b + f g(b) grows with the birth b as the moment of gel g does, and so does the moment the share is spent.
    """
    course = at((0.0, COLD_K), (900.0, COLD_K), (1500.0, after_k), (30_000.0, after_k))
    clock, births_s = clock_of(resin(), course, 300.0), np.linspace(-300.0, 3000.0, 67)
    limits_s = births_s + clock.age_limit_of(births_s, 0.7)
    assert np.all(np.diff(limits_s) > 0)
    assert limits_s[0] == pytest.approx(clock.limit_s(0.7))


def test_mould_and_resin_that_cross_are_followed_to_the_end() -> None:
    """Between the rows the warmer of the two is colder than at either: gel is later than the table's first guess."""
    crossing = (
        Temperatures(at_s=0.0, mould_k=WARM_K, resin_k=283.15),
        Temperatures(at_s=20_000.0, mould_k=283.15, resin_k=WARM_K),
    )
    clock = clock_of(resin(), crossing, 0.0)
    history = ((0.0, WARM_K), (10_000.0, 293.15), (20_000.0, WARM_K))
    assert clock.gel_time_s == pytest.approx(gel_time_in_history_s(history, gel_s), rel=1e-5)


def test_thickening_goes_with_the_share_of_the_gel_time() -> None:
    """Tested at 20 C with 1 %, used at 30 C with 1.5 %: as thick, over fresh, at the same share of the gel time."""
    tested = growing(1800.0, level=0.01)
    clock = clock_of(resin(thickening=tested), at((0.0, WARM_K)), 0.0)
    for share in (0.1, 0.4, 0.7):
        expected_pa_s = fresh_pa_s(WARM_K) * math.exp(share * gel_s(COLD_K, 0.01) / 1800.0)
        assert clock.viscosity_at(share * gel_s(WARM_K)) == pytest.approx(expected_pa_s, rel=TABLED)


def test_mould_and_resin_apart_are_taken_on_the_safe_side() -> None:
    """Fresh viscosity at the colder, age at the warmer: thicker than with both at either temperature."""
    thick = resin(thickening=growing(1800.0))
    apart = (Temperatures(at_s=0.0, mould_k=COLD_K, resin_k=WARM_K),)
    both = clock_of(thick, apart, 0.0)
    for steady in (STEADY, at((0.0, WARM_K))):
        one = clock_of(thick, steady, 0.0)
        assert both.gel_time_s <= one.gel_time_s
        for at_s in (0.0, 300.0, 1500.0):
            assert both.viscosity_at(at_s) >= one.viscosity_at(at_s) * (1 - TABLED)


def test_what_is_known_ends_with_the_data() -> None:
    """A table, a fit and a course each say how far they reach."""
    short = MeasuredThickening(
        temperature_k=COLD_K,
        initiator_fraction=LEVEL,
        points=(AgedPoint(age_s=0.0, viscosity_pa_s=0.2), AgedPoint(age_s=1200.0, viscosity_pa_s=0.3)),
    )
    tabled = clock_of(resin(thickening=short), STEADY, 100.0)
    assert (tabled.known_until(1099.0), tabled.known_until(1101.0)) == (True, False)
    law = ThickeningLaw(initiator_fraction=LEVEL, cure_factor_1_s=4e5, cure_energy_j_mol=5e4, fitted_to_pa_s=0.3)
    tau_s = 1 / (4e5 * math.exp(-5e4 / (8.314462618 * COLD_K)))
    fitted, last_s = clock_of(resin(thickening=law), STEADY, 0.0), tau_s * math.log(1.5)
    assert (fitted.known_until(last_s - 1), fitted.known_until(last_s + 1)) == (True, False)
    course = clock_of(resin(), at((0.0, COLD_K), (900.0, WARM_K)), 0.0)
    assert (course.known_until(900.0), course.known_until(901.0)) == (True, False)
