"""Air under the bag and fibre in the laminate: what must hold for every input, and what is refused."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optimiser.errors import OutOfRangeError
from optimiser.physics import fibre_arithmetic, trapped_gas, vacuum

quick = settings(max_examples=50, deadline=None, derandomize=True)
fractions = st.floats(0.01, 1.0)
densities_kg_m3 = st.floats(900, 3000)


@given(fraction=fractions, fibre=densities_kg_m3, resin=densities_kg_m3)
@quick
def test_fibre_by_mass_and_by_volume_undo_each_other(fraction: float, fibre: float, resin: float) -> None:
    """From volume to mass and back gives the fraction started from."""
    densities = {"fibre_density_kg_m3": fibre, "resin_density_kg_m3": resin}
    by_mass = fibre_arithmetic.fibre_mass_fraction_from_volume(fibre_volume_fraction=fraction, **densities)
    back = fibre_arithmetic.fibre_volume_fraction_from_mass(fibre_mass_fraction=by_mass, **densities)
    assert back == pytest.approx(fraction, rel=1e-12, abs=0)


@given(fibre_kg_m2=st.floats(0.1, 20), content=fractions)
@quick
def test_scantling_thickness_is_that_of_a_ply_with_its_densities(fibre_kg_m2: float, content: float) -> None:
    """ISO 12215-5 thickness equals w / (rho_f Vf) with 2560 and 1200 kg/m3, and its printed form."""
    vf = fibre_arithmetic.fibre_volume_fraction_from_mass(
        fibre_mass_fraction=content, fibre_density_kg_m3=2560.0, resin_density_kg_m3=1200.0
    )
    found_m = fibre_arithmetic.iso_12215_5_thickness_m(fibre_kg_m2=fibre_kg_m2, fibre_mass_fraction=content)
    ply_m = fibre_arithmetic.ply_thickness_m(
        areal_weight_kg_m2=fibre_kg_m2, fibre_density_kg_m3=2560.0, fibre_volume_fraction=vf
    )
    printed_mm = fibre_kg_m2 / 3.072 * (2.56 / content - 1.36)
    assert found_m == pytest.approx(ply_m, rel=1e-12, abs=0)
    assert found_m * 1e3 == pytest.approx(printed_mm, rel=1e-12, abs=0)


@given(temperature_k=st.floats(273.15, 313.15), humidity=st.floats(0.05, 1.0))
@quick
def test_air_at_its_dew_point_is_saturated(temperature_k: float, humidity: float) -> None:
    """Vapour in the air is the saturation pressure at its dew point, which is not above the air itself."""
    dew_point_k = vacuum.dew_point_k(temperature_k=temperature_k, humidity_fraction=humidity)
    vapour_pa = vacuum.vapour_pressure_pa(temperature_k=temperature_k, humidity_fraction=humidity)
    saturated_pa = vacuum.vapour_pressure_pa(temperature_k=dew_point_k, humidity_fraction=1.0)
    assert saturated_pa == pytest.approx(vapour_pa, rel=1e-9, abs=0)
    assert dew_point_k <= temperature_k + 1e-9


@given(volume_m3=st.floats(1e-6, 1), pressed_to_pa=st.floats(1e3, 1e5))
@quick
def test_trapped_gas_keeps_pressure_times_volume(volume_m3: float, pressed_to_pa: float) -> None:
    """Boyle: pressing gas and letting it down again gives back its volume."""
    pressed_m3 = trapped_gas.compressed_volume_m3(
        volume_m3=volume_m3, trapped_at_pa=2000.0, pressed_to_pa=pressed_to_pa
    )
    back_m3 = trapped_gas.compressed_volume_m3(
        volume_m3=pressed_m3, trapped_at_pa=pressed_to_pa, pressed_to_pa=2000.0
    )
    assert pressed_m3 * pressed_to_pa == pytest.approx(volume_m3 * 2000.0, rel=1e-12, abs=0)
    assert back_m3 == pytest.approx(volume_m3, rel=1e-12, abs=0)


def test_same_leak_in_twice_the_bag_rises_half_as_fast() -> None:
    """A rise in mbar a minute says nothing until the volume is known."""
    small = vacuum.leak_rate_pa_m3_s(volume_m3=0.05, pressure_rise_pa=1000.0, time_s=600.0)
    large = vacuum.leak_rate_pa_m3_s(volume_m3=0.10, pressure_rise_pa=500.0, time_s=600.0)
    assert small == pytest.approx(large, rel=1e-12, abs=0)


@pytest.mark.parametrize(
    ("temperature_k", "humidity"), [(220.0, 0.5), (340.0, 0.5), (293.15, 0.0), (293.15, 1.2)]
)
def test_dew_point_outside_its_range_is_refused(temperature_k: float, humidity: float) -> None:
    """Air colder or hotter than the formula was fitted for, or no humidity, has no dew point here."""
    with pytest.raises(OutOfRangeError):
        vacuum.dew_point_k(temperature_k=temperature_k, humidity_fraction=humidity)


def test_trapped_gas_at_no_pressure_is_refused() -> None:
    """Gauge readings put in by mistake (zero or below) are caught."""
    with pytest.raises(OutOfRangeError):
        trapped_gas.compressed_volume_m3(volume_m3=0.001, trapped_at_pa=0.0, pressed_to_pa=9e4)


@pytest.mark.parametrize("fraction", [0.0, 1.1, float("nan")])
def test_a_fibre_fraction_outside_nought_to_one_is_refused(fraction: float) -> None:
    """No fibre at all, or more fibre than laminate, is no laminate."""
    with pytest.raises(OutOfRangeError):
        fibre_arithmetic.ply_thickness_m(
            areal_weight_kg_m2=1.0, fibre_density_kg_m3=2540.0, fibre_volume_fraction=fraction
        )


@pytest.mark.parametrize("wrong", ["bore_m", "length_m", "pressure_pa"])
def test_a_vent_line_without_bore_length_or_pressure_is_refused(wrong: str) -> None:
    """Nothing flows through nothing."""
    given = {"bore_m": 0.01, "length_m": 2.0, "pressure_pa": 2500.0, wrong: 0.0}
    with pytest.raises(OutOfRangeError):
        vacuum.air_pressure_fall_pa(**given, flow_m3_s=1e-4)


def test_air_at_rest_loses_nothing_along_a_vent_line() -> None:
    """No flow, no fall."""
    assert vacuum.air_pressure_fall_pa(bore_m=0.01, length_m=2.0, flow_m3_s=0.0, pressure_pa=2500.0) == 0.0
