"""Viscosity and gel time between measured points: they agree with the points and never go beyond them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optimiser.errors import OutOfRangeError
from optimiser.physics.gel_clock import gel_time_between_points_s, gel_time_in_history_s
from optimiser.physics.resin_viscosity import viscosity_at_age_pa_s, viscosity_between_points_pa_s

quick = settings(max_examples=50, deadline=None, derandomize=True)

VISCOSITY = ((288.15, 0.40), (293.15, 0.31), (303.15, 0.20))
CURING = ((293.15, 0.0, 0.26), (293.15, 3600.0, 0.63), (303.15, 0.0, 0.16), (303.15, 3600.0, 0.92))
GEL = (
    (288.15, 0.010, 7200.0),
    (298.15, 0.010, 3900.0),
    (288.15, 0.015, 5400.0),
    (303.15, 0.015, 2000.0),
    (293.15, 0.020, 3000.0),
)


@given(one=st.floats(288.15, 303.15), other=st.floats(288.15, 303.15))
@quick
def test_warmer_resin_is_never_thicker(one: float, other: float) -> None:
    """With points that fall, viscosity falls all the way between them."""
    cold, warm = sorted([one, other])
    assert viscosity_between_points_pa_s(VISCOSITY, warm) <= viscosity_between_points_pa_s(VISCOSITY, cold)


@pytest.mark.parametrize(("temperature_k", "viscosity_pa_s"), VISCOSITY)
def test_viscosity_passes_through_its_points(temperature_k: float, viscosity_pa_s: float) -> None:
    """At a measured temperature the measured value comes back."""
    assert viscosity_between_points_pa_s(VISCOSITY, temperature_k) == pytest.approx(
        viscosity_pa_s, rel=1e-12, abs=0
    )


@pytest.mark.parametrize("point", CURING)
def test_viscosity_while_it_cures_passes_through_its_points(point: tuple[float, float, float]) -> None:
    """At a measured temperature and age the measured value comes back."""
    temperature_k, age_s, viscosity_pa_s = point
    found = viscosity_at_age_pa_s(CURING, temperature_k=temperature_k, age_s=age_s)
    assert found == pytest.approx(viscosity_pa_s, rel=1e-12, abs=0)


def test_viscosity_half_way_in_inverse_temperature_is_the_geometric_mean() -> None:
    """ln(mu) linear in 1/T: at the harmonic mean of two temperatures, the geometric mean of the values."""
    half_way_k = 2 / (1 / 293.15 + 1 / 303.15)
    assert viscosity_between_points_pa_s(VISCOSITY, half_way_k) == pytest.approx(
        math.sqrt(0.31 * 0.20), rel=1e-12, abs=0
    )


@pytest.mark.parametrize("temperature_k", [288.0, 303.3, math.nan])
def test_viscosity_is_not_guessed_beyond_its_points(temperature_k: float) -> None:
    """Outside the measured temperatures the error names the range in degrees C."""
    with pytest.raises(OutOfRangeError, match=r"viscosity is measured from 15\.0 to 30\.0 degrees C"):
        viscosity_between_points_pa_s(VISCOSITY, temperature_k)


def test_a_single_point_holds_at_its_own_temperature_only() -> None:
    """One measured viscosity serves within 0.05 K of where it was measured."""
    single = ((293.15, 0.3),)
    assert viscosity_between_points_pa_s(single, 293.19) == pytest.approx(0.3, rel=1e-12, abs=0)
    with pytest.raises(OutOfRangeError, match=r"from 20\.0 to 20\.0 degrees C"):
        viscosity_between_points_pa_s(single, 293.25)


@pytest.mark.parametrize(
    "points", [(), ((293.15, 0.0),), ((293.15, 0.3), (293.15, 0.4))], ids=["none", "zero", "two at once"]
)
def test_points_that_say_nothing_are_refused(points: tuple[tuple[float, float], ...]) -> None:
    """No point, a value of zero, and two values at one temperature are not data to work with."""
    with pytest.raises(OutOfRangeError):
        viscosity_between_points_pa_s(points, 293.15)


@pytest.mark.parametrize(("temperature_k", "initiator_fraction", "gel_time_s"), GEL)
def test_gel_time_passes_through_its_points(
    temperature_k: float, initiator_fraction: float, gel_time_s: float
) -> None:
    """At a measured temperature and level the measured gel time comes back."""
    found = gel_time_between_points_s(GEL, temperature_k=temperature_k, initiator_fraction=initiator_fraction)
    assert found == pytest.approx(gel_time_s, rel=1e-12, abs=0)


@given(temperature_k=st.floats(288.15, 298.15), initiator_fraction=st.floats(0.010, 0.015))
@quick
def test_gel_time_lies_between_the_levels_around_it(temperature_k: float, initiator_fraction: float) -> None:
    """Between two measured levels the gel time lies between theirs at that temperature."""
    weaker, asked, stronger = (
        gel_time_between_points_s(GEL, temperature_k=temperature_k, initiator_fraction=fraction)
        for fraction in (0.010, initiator_fraction, 0.015)
    )
    assert min(weaker, stronger) * (1 - 1e-12) <= asked <= max(weaker, stronger) * (1 + 1e-12)


@pytest.mark.parametrize("initiator_fraction", [0.009, 0.021, math.nan])
def test_gel_time_is_not_guessed_beyond_the_levels(initiator_fraction: float) -> None:
    """Outside the measured levels the error names them."""
    with pytest.raises(OutOfRangeError, match=r"from 1\.000% to 2\.000% initiator"):
        gel_time_between_points_s(GEL, temperature_k=293.15, initiator_fraction=initiator_fraction)


def test_gel_time_needs_both_levels_at_the_temperature() -> None:
    """At 30 degrees C 1.5 % is measured but 1 % is not, so nothing between the two is said."""
    assert gel_time_between_points_s(GEL, temperature_k=303.15, initiator_fraction=0.015) == pytest.approx(
        2000
    )
    with pytest.raises(OutOfRangeError, match=r"1\.000% initiator is measured from 15\.0 to 25\.0"):
        gel_time_between_points_s(GEL, temperature_k=303.15, initiator_fraction=0.012)


@pytest.mark.parametrize("points", [(), ((293.15, 0.0, 3600.0),)], ids=["none", "no initiator"])
def test_gel_points_that_say_nothing_are_refused(points: tuple[tuple[float, float, float], ...]) -> None:
    """No point and a level of zero are not data to work with."""
    with pytest.raises(OutOfRangeError):
        gel_time_between_points_s(points, temperature_k=293.15, initiator_fraction=0.01)


def test_warming_a_resin_brings_its_gel_forward() -> None:
    """A resin warmed on the way gels between the times at the two temperatures."""

    def gel_time_s(temperature_k: float) -> float:
        return gel_time_between_points_s(GEL, temperature_k=temperature_k, initiator_fraction=0.010)

    warmed_s = gel_time_in_history_s(((0, 288.15), (1800, 298.15)), gel_time_s)
    assert gel_time_s(298.15) < warmed_s < gel_time_s(288.15)


@pytest.mark.parametrize(
    "history", [(), ((60, 293.15),), ((0, 293.15), (60, 293.15), (30, 293.15))], ids=["empty", "late", "back"]
)
def test_a_history_runs_forward_from_age_zero(history: tuple[tuple[float, float], ...]) -> None:
    """A history that is empty, starts late or runs back is refused."""
    with pytest.raises(OutOfRangeError):
        gel_time_in_history_s(history, lambda _temperature_k: 3600.0)
