"""Shop units against SciPy's table of physical constants (CODATA and the legal definitions of the units)."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from scipy import constants

from optimiser import units


def test_fixed_constants_are_the_legal_ones() -> None:
    """Standard gravity, standard atmosphere and the zero of the Celsius scale."""
    assert pytest.approx(constants.g, rel=1e-15, abs=0) == units.STANDARD_GRAVITY_M_S2
    assert pytest.approx(constants.atm, rel=1e-15, abs=0) == units.STANDARD_ATMOSPHERE_PA
    assert pytest.approx(constants.zero_Celsius, rel=1e-15, abs=0) == units.CELSIUS_ZERO_K


def test_each_shop_unit_is_its_si_value() -> None:
    """One of each shop unit, with the factor from the table."""
    table = [
        (units.m_from_mm(1.0), constants.milli),
        (units.pa_from_mbar(1.0), constants.bar * constants.milli),
        (units.pa_from_torr(1.0), constants.torr),
        (units.pa_from_psi(1.0), constants.psi),
        (units.s_from_min(1.0), constants.minute),
        (units.pa_s_from_mpa_s(1.0), constants.milli),
        (units.kg_m2_from_g_m2(1.0), constants.gram),
        (units.m3_s_from_kg_min(1.0, 1.0), 1 / constants.minute),
        (units.litres_from_m3(constants.liter), 1.0),
        (units.k_from_c(1.0), constants.convert_temperature(1.0, "Celsius", "Kelvin")),
    ]
    for found, expected in table:
        assert found == pytest.approx(expected, rel=1e-14, abs=0)


def test_inch_of_mercury_is_25_4_millimetres_of_it() -> None:
    """To the seven digits of the conventional value; the table's millimetre is the torr, 1.4e-7 smaller."""
    assert units.pa_from_inhg(1.0) == pytest.approx(25.4 * constants.mmHg, rel=3e-7, abs=0)


@pytest.mark.parametrize(
    ("there", "back"),
    [
        (units.m_from_mm, units.mm_from_m),
        (units.pa_from_mbar, units.mbar_from_pa),
        (units.k_from_c, units.c_from_k),
        (units.s_from_min, units.min_from_s),
        (
            lambda flow: units.m3_s_from_kg_min(flow, 1120.0),
            lambda flow: units.kg_min_from_m3_s(flow, 1120.0),
        ),
    ],
)
def test_there_and_back_is_the_same(there: Callable[[float], float], back: Callable[[float], float]) -> None:
    """Converting to SI and back changes nothing beyond rounding."""
    assert back(there(21.5)) == pytest.approx(21.5, rel=1e-14, abs=0)
