"""Conversions between the units of the shop and SI. Used at the doors only; inside, everything is SI."""

from __future__ import annotations

CELSIUS_ZERO_K = 273.15
STANDARD_GRAVITY_M_S2 = 9.80665
STANDARD_ATMOSPHERE_PA = 101_325.0
INCH_OF_MERCURY_PA = 3386.389
PSI_PA = 0.45359237 * STANDARD_GRAVITY_M_S2 / 0.0254**2


def m_from_mm(length_mm: float) -> float:
    return length_mm * 1e-3


def mm_from_m(length_m: float) -> float:
    return length_m * 1e3


def pa_from_mbar(pressure_mbar: float) -> float:
    return pressure_mbar * 100.0


def mbar_from_pa(pressure_pa: float) -> float:
    return pressure_pa / 100.0


def pa_from_inhg(pressure_inhg: float) -> float:
    return pressure_inhg * INCH_OF_MERCURY_PA


def pa_from_torr(pressure_torr: float) -> float:
    return pressure_torr * STANDARD_ATMOSPHERE_PA / 760


def pa_from_psi(pressure_psi: float) -> float:
    return pressure_psi * PSI_PA


def k_from_c(temperature_c: float) -> float:
    return temperature_c + CELSIUS_ZERO_K


def c_from_k(temperature_k: float) -> float:
    return temperature_k - CELSIUS_ZERO_K


def s_from_min(time_min: float) -> float:
    return time_min * 60.0


def min_from_s(time_s: float) -> float:
    return time_s / 60.0


def pa_s_from_mpa_s(viscosity_mpa_s: float) -> float:
    return viscosity_mpa_s * 1e-3


def kg_m2_from_g_m2(areal_weight_g_m2: float) -> float:
    return areal_weight_g_m2 * 1e-3


def m3_s_from_kg_min(flow_kg_min: float, density_kg_m3: float) -> float:
    return flow_kg_min / 60.0 / density_kg_m3


def kg_min_from_m3_s(flow_m3_s: float, density_kg_m3: float) -> float:
    return flow_m3_s * 60.0 * density_kg_m3


def m3_h_from_m3_s(flow_m3_s: float) -> float:
    return flow_m3_s * 3600.0


def m3_s_from_m3_h(flow_m3_h: float) -> float:
    return flow_m3_h / 3600.0


def litres_from_m3(volume_m3: float) -> float:
    return volume_m3 * 1e3


def m3_from_litres(volume_litres: float) -> float:
    return volume_litres * 1e-3


def m2_from_cm2(area_cm2: float) -> float:
    return area_cm2 * 1e-4


def m_from_um(length_um: float) -> float:
    return length_um * 1e-6


def fraction_from_percent(share_percent: float) -> float:
    return share_percent / 100.0
