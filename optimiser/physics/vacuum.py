"""What is asked of bag and air before the shot: is it tight, how soon is it down, will water settle on it.

Derived from the balance p V of an isothermal ideal gas, but for water, whose source stands with it.
"""

from __future__ import annotations

import math

from optimiser.errors import OutOfRangeError
from optimiser.units import c_from_k, k_from_c

MAGNUS_PA, MAGNUS_SLOPE, MAGNUS_C = 611.2, 17.62, 243.12
MAGNUS_COLDEST_C, MAGNUS_HOTTEST_C = -45.0, 60.0


def leak_rate_pa_m3_s(*, volume_m3: float, pressure_rise_pa: float, time_s: float) -> float:
    """Leak, Pa m3/s, from a drop test with the pump shut off: V dp / dt.

    Isothermal ideal gas; a bag that still dries or outgasses reads as a leak. The rise alone says nothing:
    the same leak under twice the volume rises half as fast. Ten mbar l/s are one Pa m3/s.
    """
    return volume_m3 * pressure_rise_pa / time_s


def pump_down_time_s(
    *, volume_m3: float, pump_speed_m3_s: float, start_pressure_pa: float, end_pressure_pa: float
) -> float:
    """Time, s, from one absolute pressure down to another: (V / S) ln(p0 / p1).

    Constant pump speed, no line resistance, no leak and nothing that outgasses: a lower bound.
    """
    return volume_m3 / pump_speed_m3_s * math.log(start_pressure_pa / end_pressure_pa)


def vapour_pressure_pa(*, temperature_k: float, humidity_fraction: float) -> float:
    """Pressure of the water vapour in the air, Pa: RH 611.2 exp[17.62 t / (243.12 + t)], t in degrees C.

    Magnus formula over water, constants of WMO-No. 8 (from memory); -45 to 60 degrees C and RH above 0 and
    at most 1, else OutOfRangeError.
    """
    return MAGNUS_PA * math.exp(_log_vapour_ratio(temperature_k, humidity_fraction))


def dew_point_k(*, temperature_k: float, humidity_fraction: float) -> float:
    """Temperature, K, below which the air leaves water on a mould: the Magnus formula solved for t.

    Range, errors and source as for `vapour_pressure_pa`.
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
        raise OutOfRangeError(
            f"relative humidity must lie above 0 and at most at 1, found {humidity_fraction}"
        )
    return math.log(humidity_fraction) + MAGNUS_SLOPE * temperature_c / (MAGNUS_C + temperature_c)
