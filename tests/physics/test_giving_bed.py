"""Pores and mobility of a bed that gives, against the scalar law, a difference quotient and quadrature by SciPy."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from optimiser.physics import giving_bed
from optimiser.physics.bag_compliance import compacted_fibre_fraction

quick = settings(max_examples=40, deadline=None, derandomize=True)
DRY_PA, DRY, FLOOR = 9.5e4, 0.547186092, 0.3


def bed(exponent: float = 0.1) -> dict[str, Any]:
    return {
        "dry_pa": DRY_PA,
        "dry_fraction": np.array([DRY]),
        "exponent": np.array([exponent]),
        "least_fraction": np.array([FLOOR]),
    }


def ratio(pressure_pa: float, exponent: float = 0.1) -> float:
    return float(giving_bed.pore_ratio(np.array([pressure_pa]), **bed(exponent))[0])


@given(pressure_pa=st.floats(0.0, 1.2e5), exponent=st.floats(0.0, 0.5))
@quick
def test_fraction_is_that_of_the_power_law(pressure_pa: float, exponent: float) -> None:
    """Taken at the dry pressure as reference it is the law of `bag_compliance`, floor and all."""
    expected = compacted_fibre_fraction(
        compaction_pa=DRY_PA - pressure_pa,
        reference_fibre_fraction=DRY,
        reference_pa=DRY_PA,
        stiffening_exponent=exponent,
        least_fibre_fraction=FLOOR,
    )
    found = giving_bed.fibre_fraction(np.array([pressure_pa]), **bed(exponent))[0]
    assert found == pytest.approx(expected, rel=1e-12)
    assert ratio(pressure_pa, exponent) == pytest.approx((1 / expected - 1) / (1 / DRY - 1), rel=1e-12)


@given(pressure_pa=st.floats(0.0, 9.3e4), exponent=st.floats(0.01, 0.3))
@quick
def test_slope_is_that_of_the_curve(pressure_pa: float, exponent: float) -> None:
    """Central difference over 2 Pa; on the floor none. Points within a pascal of the kink are left out."""
    values = [float(giving_bed.fibre_fraction(np.array([pressure_pa + d]), **bed(exponent))[0]) for d in (-1, 1)]
    if (values[0] > FLOOR) != (values[1] > FLOOR):
        return
    quotient = (ratio(pressure_pa + 1, exponent) - ratio(pressure_pa - 1, exponent)) / 2
    found = float(giving_bed.pore_ratio_slope_1_pa(np.array([pressure_pa]), **bed(exponent))[0])
    assert found == pytest.approx(quotient, rel=1e-5, abs=1e-15)


@pytest.mark.parametrize(("one_pa", "other_pa", "off"), [(8.5e4, 0.0, 0.06), (8.5e4, 8e4, 1e-4), (4e4, 0.0, 3e-4)])
def test_mean_mobility_is_its_integral_over_pressure(one_pa: float, other_pa: float, off: float) -> None:
    """Kirchhoff's transform by quadrature.

    Over all the pressure in one link Simpson's rule is 5 % off, over what falls between two cells less than 1e-4.
    """
    exact = quad(lambda p: ratio(p) ** 3, other_pa, one_pa)[0] / (one_pa - other_pa)
    found = giving_bed.mean_mobility_ratio(np.array([one_pa]), np.array([other_pa]), **bed())[0]
    assert found == pytest.approx(exact, rel=off)


def test_permeability_times_thickness_goes_with_the_cube_of_the_pores() -> None:
    """(1 - Vf)^3 / Vf^2 times 1 / Vf, over that of the dry bed."""
    fraction = float(giving_bed.fibre_fraction(np.array([8e4]), **bed())[0])
    expected = ((1 - fraction) / fraction) ** 3 / ((1 - DRY) / DRY) ** 3
    at = np.array([8e4])
    assert giving_bed.mean_mobility_ratio(at, at, **bed())[0] == pytest.approx(expected, rel=1e-12)
