"""Viscosity of the resin, fresh and while it cures."""

from __future__ import annotations

import math

import numpy as np

from optimiser.errors import OutOfRangeError
from optimiser.physics.arrhenius import (
    GAS_CONSTANT_J_MOL_K,
    SAME_TEMPERATURE_K,
    arrhenius_factor,
    value_between_points,
)
from optimiser.units import c_from_k


def viscosity_between_points_pa_s(points: tuple[tuple[float, float], ...], temperature_k: float) -> float:
    """Viscosity, Pa s, from (temperature_k, viscosity_pa_s) points of the resin's data sheet.

    ln mu = ln mu1 + (ln mu2 - ln mu1)(1 / T - 1 / T1) / (1 / T2 - 1 / T1) between neighbouring points. Range: that of
    the points, else OutOfRangeError (0.05 K is forgiven), so a single point holds only at its own temperature. Source:
    Arrhenius' law between neighbours.
    """
    return value_between_points(points, temperature_k, what="the viscosity")


def viscosity_at_age_pa_s(
    points: tuple[tuple[float, float, float], ...], *, temperature_k: float, age_s: float
) -> float:
    """Viscosity, Pa s, of a curing resin, from (temperature_k, age_s, viscosity_pa_s) points in any order.

    At one measured temperature ln mu = ln mu1 + (ln mu2 - ln mu1)(t - t1) / (t2 - t1) between neighbouring ages;
    between the two measured temperatures next to the one asked for ln mu is linear in 1 / T at that age. Range: nothing
    is extrapolated, OutOfRangeError outside the temperatures (0.05 K is forgiven) and outside the ages measured at a
    temperature that is needed. Source: Arrhenius' law between temperatures; a logarithm that grows evenly with age is
    the form of Roller, Polym. Eng. Sci. 15:406, 1975 (from memory, unopened).
    """
    temperatures_k = sorted({point_k for point_k, _, _ in points})
    below_k = max((each for each in temperatures_k if each <= temperature_k + SAME_TEMPERATURE_K), default=None)
    above_k = min((each for each in temperatures_k if each >= temperature_k - SAME_TEMPERATURE_K), default=None)
    if below_k is None or above_k is None:
        raise OutOfRangeError(f"the viscosity while it cures is not measured around {c_from_k(temperature_k):.1f} C")
    needed_k = {below_k} if abs(below_k - temperature_k) <= SAME_TEMPERATURE_K else {below_k, above_k}
    at_age = tuple((each_k, _at_temperature_pa_s(points, each_k, age_s)) for each_k in needed_k)
    return at_age[0][1] if len(at_age) == 1 else viscosity_between_points_pa_s(at_age, temperature_k)


def arrhenius_viscosity_pa_s(
    *,
    reference_viscosity_pa_s: float,
    reference_k: float,
    activation_energy_j_mol: float,
    temperature_k: float,
) -> float:
    """Viscosity, Pa s, at a temperature: mu = mu_ref exp[(E / R)(1 / T - 1 / T_ref)].

    mu_ref in Pa s, E in J/mol, temperatures in K. Range: fresh resin, the few tens of kelvin in which E was fitted;
    above 0 K, else OutOfRangeError. Source: Arrhenius' law.
    """
    return reference_viscosity_pa_s * arrhenius_factor(
        temperature_k=temperature_k, reference_k=reference_k, activation_energy_j_mol=activation_energy_j_mol
    )


def dual_arrhenius_viscosity_pa_s(
    *,
    time_s: float,
    temperature_k: float,
    viscosity_factor_pa_s: float,
    flow_energy_j_mol: float,
    cure_factor_1_s: float,
    cure_energy_j_mol: float,
) -> float:
    """Viscosity, Pa s, of a curing resin after a time at one temperature: two exponents of 1 / T.

    ln mu = ln mu_inf + E1 / (R T) + t k_inf exp[-E2 / (R T)]; mu_inf in Pa s, E1 and E2 in J/mol, k_inf in 1/s, t in s,
    T in K. Range: fitted well before gel and no further; temperatures above 0 K, else OutOfRangeError. Source: form of
    Roller, Polym. Eng. Sci. 15:406, 1975 (from memory, unopened).
    """
    fresh_pa_s = viscosity_factor_pa_s * _boltzmann(-flow_energy_j_mol, temperature_k)
    return fresh_pa_s * math.exp(time_s * cure_factor_1_s * _boltzmann(cure_energy_j_mol, temperature_k))


def castro_macosko_viscosity_pa_s(
    *,
    cured_share: float,
    temperature_k: float,
    viscosity_factor_pa_s: float,
    flow_energy_j_mol: float,
    gel_share: float,
    power_at_start: float,
    power_growth: float,
) -> float:
    """Viscosity, Pa s, of a resin cured to a share a: mu = A exp[E / (R T)] [a_g / (a_g - a)]^(C1 + C2 a).

    A in Pa s, E in J/mol, T in K, a_g the share cured at gel. Range: temperatures above 0 K, from none cured to below
    a_g, where it has no bound, else OutOfRangeError. Source: Castro and Macosko, AIChE J. 28(2):250-260, 1982 (from
    memory, unopened).
    """
    if not 0 <= cured_share < gel_share:
        raise OutOfRangeError(f"flow ends at gel: cured share from 0 to below {gel_share}, found {cured_share}")
    fresh_pa_s = viscosity_factor_pa_s * _boltzmann(-flow_energy_j_mol, temperature_k)
    return fresh_pa_s * math.pow(gel_share / (gel_share - cured_share), power_at_start + power_growth * cured_share)


def _at_temperature_pa_s(points: tuple[tuple[float, float, float], ...], at_k: float, age_s: float) -> float:
    aged = sorted((point_s, viscosity) for point_k, point_s, viscosity in points if point_k == at_k)
    ages_s, viscosities = [point_s for point_s, _ in aged], [viscosity for _, viscosity in aged]
    if len(set(ages_s)) < len(ages_s) or not min(viscosities) > 0:
        raise OutOfRangeError(f"viscosities at {c_from_k(at_k):.1f} C must be positive and their ages apart")
    if not ages_s[0] <= age_s <= ages_s[-1]:
        raise OutOfRangeError(
            f"the viscosity at {c_from_k(at_k):.1f} C is measured from {ages_s[0]:.0f} to {ages_s[-1]:.0f} s of age; "
            f"asked at {age_s:.0f} s"
        )
    return math.exp(float(np.interp(age_s, ages_s, np.log(viscosities))))


def _boltzmann(energy_j_mol: float, temperature_k: float) -> float:
    if not temperature_k > 0:
        raise OutOfRangeError(f"temperatures must lie above 0 K, found {temperature_k} K")
    return math.exp(-energy_j_mol / (GAS_CONSTANT_J_MOL_K * temperature_k))
