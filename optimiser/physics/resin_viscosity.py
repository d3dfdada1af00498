"""Viscosity of the resin, fresh and while it cures. Source where none stands: Arrhenius' law, as in `arrhenius`."""

from __future__ import annotations

import math

from optimiser.errors import OutOfRangeError
from optimiser.physics.arrhenius import GAS_CONSTANT_J_MOL_K, arrhenius_factor, value_between_points


def viscosity_between_points_pa_s(points: tuple[tuple[float, float], ...], temperature_k: float) -> float:
    """Viscosity, Pa s, from (temperature_k, viscosity_pa_s) points of the resin's data sheet.

    Arrhenius between neighbouring points: ln(mu) linear in 1/T. OutOfRangeError outside the points' range
    (0.05 K is forgiven), so a single point holds only at its own temperature.
    """
    return value_between_points(points, temperature_k, what="the viscosity")


def arrhenius_viscosity_pa_s(
    *,
    reference_viscosity_pa_s: float,
    reference_k: float,
    activation_energy_j_mol: float,
    temperature_k: float,
) -> float:
    """Viscosity, Pa s, at a temperature: mu = mu_ref exp[(E / R)(1 / T - 1 / T_ref)].

    Holds for fresh resin over the few tens of kelvin in which E was fitted.
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

    ln mu = ln mu_inf + E1 / (R T) + t k_inf exp[-E2 / (R T)]. Fitted well before gel and no further.
    Temperature above 0 K, else OutOfRangeError. Source: form of Roller, Polym. Eng. Sci. 15:406, 1975 (from memory).
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
    """Viscosity, Pa s, of a resin cured to a share a: A exp[E / (R T)] [a_g / (a_g - a)]^(C1 + C2 a).

    From none cured to below the share at gel, where it has no bound: else OutOfRangeError.
    Source: Castro and Macosko, AIChE J. 28(2):250-260, 1982 (from memory, unopened).
    """
    if not 0 <= cured_share < gel_share:
        raise OutOfRangeError(f"flow ends at gel: cured share from 0 to below {gel_share}, found {cured_share}")
    fresh_pa_s = viscosity_factor_pa_s * _boltzmann(-flow_energy_j_mol, temperature_k)
    return fresh_pa_s * math.pow(gel_share / (gel_share - cured_share), power_at_start + power_growth * cured_share)


def _boltzmann(energy_j_mol: float, temperature_k: float) -> float:
    if not temperature_k > 0:
        raise OutOfRangeError(f"temperatures must lie above 0 K, found {temperature_k} K")
    return math.exp(-energy_j_mol / (GAS_CONSTANT_J_MOL_K * temperature_k))
