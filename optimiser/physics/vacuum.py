"""What is asked of bag and air before the shot: is it tight, how soon is it down, will water settle on it."""

from __future__ import annotations

import math

from optimiser.errors import OutOfRangeError
from optimiser.physics.arrhenius import GAS_CONSTANT_J_MOL_K
from optimiser.units import c_from_k, k_from_c

DRY_AIR_KG_MOL = 0.0289652
AIR_VISCOSITY_PA_S = 1.82e-5
"""At 20 degrees C, from memory; hardly changed by pressure."""
MAGNUS_PA, MAGNUS_SLOPE, MAGNUS_C = 611.2, 17.62, 243.12
MAGNUS_COLDEST_C, MAGNUS_HOTTEST_C = -45.0, 60.0


def leak_rate_pa_m3_s(*, volume_m3: float, pressure_rise_pa: float, time_s: float) -> float:
    """Leak, Pa m3/s, from a drop test with the pump shut off: Q = V dp / dt.

    V in m3, dp in Pa, dt in s. Range: isothermal ideal gas, time above 0; a bag that still dries or outgasses reads as
    a leak. The rise alone says nothing: the same leak under twice the volume rises half as fast. Ten mbar l/s are one
    Pa m3/s. Source: derived from the balance p V of an isothermal ideal gas.
    """
    return volume_m3 * pressure_rise_pa / time_s


def air_let_in_m3(*, leak_pa_m3_s: float, time_s: float, pressure_pa: float) -> float:
    """Volume of the air that a leak lets in over a time, m3, measured at a pressure: V = Q t / p.

    Q in Pa m3/s, t in s, p in Pa. At the bag's own absolute pressure it is the room that the air takes up inside.
    Range: pressure above 0, else OutOfRangeError. Source: derived from the balance p V of an isothermal ideal gas.
    """
    if not pressure_pa > 0:
        raise OutOfRangeError("air is measured at an absolute pressure above 0")
    return leak_pa_m3_s * time_s / pressure_pa


def air_let_in_kg(*, leak_pa_m3_s: float, time_s: float, temperature_k: float) -> float:
    """Mass of the air that a leak lets in over a time, kg: m = Q t M / (R T).

    Q in Pa m3/s, t in s, T in K, M = 0.0289652 kg/mol. Range: temperatures above 0 K, else OutOfRangeError; ideal gas.
    Source: ideal gas law; molar mass of dry air from memory.
    """
    if not temperature_k > 0:
        raise OutOfRangeError(f"temperatures must lie above 0 K, found {temperature_k} K")
    return leak_pa_m3_s * time_s * DRY_AIR_KG_MOL / (GAS_CONSTANT_J_MOL_K * temperature_k)


def held_pressure_pa(*, leak_pa_m3_s: float, pump_speed_m3_s: float) -> float:
    """Absolute pressure, Pa, at which a pump carries off what leaks in: p = Q / S.

    Q in Pa m3/s, S in m3/s. Range: constant pump speed above 0, else OutOfRangeError; no line resistance, so a lower
    bound. Source: derived from the balance p V of an isothermal ideal gas.
    """
    if not pump_speed_m3_s > 0:
        raise OutOfRangeError(f"a pump speed lies above 0, found {pump_speed_m3_s} m3/s")
    return leak_pa_m3_s / pump_speed_m3_s


def least_pump_speed_m3_s(*, leak_pa_m3_s: float, pressure_pa: float) -> float:
    """Pump speed, m3/s, that just holds an absolute pressure against a leak: S = Q / p.

    Q in Pa m3/s, p in Pa. Range: pressure above 0, else OutOfRangeError; constant pump speed, no line resistance, so a
    lower bound. Source: derived from the balance p V of an isothermal ideal gas.
    """
    if not pressure_pa > 0:
        raise OutOfRangeError(f"a pump holds an absolute pressure above 0, found {pressure_pa} Pa")
    return leak_pa_m3_s / pressure_pa


def rise_time_s(
    *, start_pressure_pa: float, end_pressure_pa: float, test_pressure_rise_pa: float, test_time_s: float
) -> float:
    """Time, s, in which a bag with the pump shut off rises from one absolute pressure, Pa, to another.

    t = (p1 - p0) t_test / dp_test, dp_test, Pa, the rise in the t_test, s, of a drop test. Range: p1 >= p0 and a rise
    above 0, else OutOfRangeError; a leak that stays the same, while it grows smaller as the bag fills, so a lower
    bound. Source: derived from the balance p V of an isothermal ideal gas.
    """
    if not (end_pressure_pa >= start_pressure_pa and test_pressure_rise_pa > 0):
        raise OutOfRangeError(
            f"a bag rises, by more than 0 Pa in the test: found {start_pressure_pa} to {end_pressure_pa} Pa and "
            f"{test_pressure_rise_pa} Pa"
        )
    return (end_pressure_pa - start_pressure_pa) * test_time_s / test_pressure_rise_pa


def pump_down_time_s(
    *,
    volume_m3: float,
    pump_speed_m3_s: float,
    start_pressure_pa: float,
    end_pressure_pa: float,
    leak_pa_m3_s: float = 0.0,
) -> float:
    """Time, s, from one absolute pressure, Pa, down to another: t = (V / S) ln[(p0 - Q / S) / (p1 - Q / S)].

    V in m3, S in m3/s, Q in Pa m3/s. Range: p0 >= p1 > Q / S, else OutOfRangeError: the pump never gets below what it
    holds against the leak; constant pump speed, a leak that stays the same, no line resistance and nothing that
    outgasses: a lower bound. Source: derived from the balance p V of an isothermal ideal gas.
    """
    held_pa = held_pressure_pa(leak_pa_m3_s=leak_pa_m3_s, pump_speed_m3_s=pump_speed_m3_s)
    if not start_pressure_pa >= end_pressure_pa > held_pa:
        raise OutOfRangeError(
            f"from {start_pressure_pa} Pa a pump that holds {held_pa:.3g} Pa never reaches {end_pressure_pa} Pa"
        )
    return volume_m3 / pump_speed_m3_s * math.log((start_pressure_pa - held_pa) / (end_pressure_pa - held_pa))


def air_pressure_fall_pa(*, bore_m: float, length_m: float, flow_m3_s: float, pressure_pa: float) -> float:
    """How far air that is driven out through a tube stands above the absolute pressure p2 at its far end, Pa: p1 - p2.

    p1^2 - p2^2 = 256 mu L p1 Q / (pi d^4), Q, m3/s, the volume flow at the pressure p1 where it enters: that of the
    resin that drives it; d and L in m, mu = 1.82e-5 Pa s. Range: bore, length and pressure above 0, else
    OutOfRangeError; isothermal laminar flow of an ideal gas, its inertia neglected. Source: derived from the
    Hagen-Poiseuille law over each length; viscosity of air from memory.
    """
    if not (bore_m > 0 and length_m > 0 and pressure_pa > 0):
        raise OutOfRangeError("bore and length of a tube and the absolute pressure of air lie above 0")
    half_pa = 128 * AIR_VISCOSITY_PA_S * length_m * flow_m3_s / (math.pi * bore_m**4)
    return half_pa + math.hypot(half_pa, pressure_pa) - pressure_pa


def vapour_pressure_pa(*, temperature_k: float, humidity_fraction: float) -> float:
    """Pressure of the water vapour in the air, Pa: p = RH 611.2 exp[17.62 t / (243.12 + t)], t in degrees C.

    temperature_k in K, RH a fraction. Range: -45 to 60 degrees C and RH above 0 and at most 1, else OutOfRangeError.
    Source: Magnus formula over water, constants of WMO-No. 8 (from memory).
    """
    return MAGNUS_PA * math.exp(_log_vapour_ratio(temperature_k, humidity_fraction))


def dew_point_k(*, temperature_k: float, humidity_fraction: float) -> float:
    """Temperature, K, below which the air leaves water on a mould: t_d = 243.12 x / (17.62 - x), degrees C.

    x = ln RH + 17.62 t / (243.12 + t), RH a fraction, t in degrees C from temperature_k. Range: -45 to 60 degrees C and
    RH above 0 and at most 1, else OutOfRangeError. Source: Magnus formula over water, solved for t, constants of
    WMO-No. 8 (from memory).
    """
    log_ratio = _log_vapour_ratio(temperature_k, humidity_fraction)
    return k_from_c(MAGNUS_C * log_ratio / (MAGNUS_SLOPE - log_ratio))


def _log_vapour_ratio(temperature_k: float, humidity_fraction: float) -> float:
    temperature_c = c_from_k(temperature_k)
    if not MAGNUS_COLDEST_C <= temperature_c <= MAGNUS_HOTTEST_C:
        raise OutOfRangeError(
            f"the dew point is known from {MAGNUS_COLDEST_C} to {MAGNUS_HOTTEST_C} degrees C, "
            f"asked at {temperature_c:.1f}"
        )
    if not 0 < humidity_fraction <= 1:
        raise OutOfRangeError(f"relative humidity must lie above 0 and at most at 1, found {humidity_fraction}")
    return math.log(humidity_fraction) + MAGNUS_SLOPE * temperature_c / (MAGNUS_C + temperature_c)
