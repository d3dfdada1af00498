"""How a rate-like quantity of the resin follows temperature, by law or between measured points."""

from __future__ import annotations

import math

import numpy as np

from optimiser.errors import OutOfRangeError
from optimiser.units import c_from_k

GAS_CONSTANT_J_MOL_K = 8.314462618
SAME_TEMPERATURE_K = 0.05
"""Two temperatures closer than this are one: finer than a shop thermometer reads."""


def arrhenius_factor(*, temperature_k: float, reference_k: float, activation_energy_j_mol: float) -> float:
    """Value at a temperature over the value at the reference, a pure number: f = exp[(E / R)(1 / T - 1 / T_ref)].

    T and T_ref in K, E in J/mol, R = 8.314462618 J/(mol K). Range: temperatures above 0 K, else OutOfRangeError; those
    in which E was fitted. Source: Arrhenius' law in its form for viscosities and times, which fall as the temperature
    rises.
    """
    if not (temperature_k > 0 and reference_k > 0):
        raise OutOfRangeError(f"temperatures must lie above 0 K, found {temperature_k} K and {reference_k} K")
    inverse_difference_1_k = 1 / temperature_k - 1 / reference_k
    return math.exp(activation_energy_j_mol / GAS_CONSTANT_J_MOL_K * inverse_difference_1_k)


def value_between_points(points: tuple[tuple[float, float], ...], temperature_k: float, *, what: str) -> float:
    """A positive quantity at a temperature, in its own unit, from measured (temperature_k, value) points in any order.

    ln v = ln v1 + (ln v2 - ln v1)(1 / T - 1 / T1) / (1 / T2 - 1 / T1) between neighbours, so each pair has its own
    activation energy; `what` names the quantity in messages. Range: that of the points, nothing is extrapolated, and a
    single point holds at its own temperature only: OutOfRangeError outside them by more than 0.05 K, with two points at
    one temperature, or with a value that is not positive. Source: Arrhenius' law between neighbours.
    """
    if not points:
        raise OutOfRangeError(f"{what} has no measured point")
    from_hot_to_cold = sorted(points, reverse=True)
    temperatures_k = np.array([temperature for temperature, _ in from_hot_to_cold])
    values = np.array([value for _, value in from_hot_to_cold])
    if not (np.all(temperatures_k > 0) and np.all(values > 0)):
        raise OutOfRangeError(f"{what}: temperatures (K) and values must all be positive")
    if np.any(temperatures_k[:-1] - temperatures_k[1:] < SAME_TEMPERATURE_K):
        raise OutOfRangeError(f"{what} has two points at one temperature")
    hottest_k, coldest_k = float(temperatures_k[0]), float(temperatures_k[-1])
    if not coldest_k - SAME_TEMPERATURE_K <= temperature_k <= hottest_k + SAME_TEMPERATURE_K:
        raise OutOfRangeError(
            f"{what} is measured from {c_from_k(coldest_k):.1f} to {c_from_k(hottest_k):.1f} degrees C; "
            f"asked at {c_from_k(temperature_k):.1f}"
        )
    return math.exp(float(np.interp(1 / temperature_k, 1 / temperatures_k, np.log(values))))
