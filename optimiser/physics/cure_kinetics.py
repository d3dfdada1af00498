"""How far a resin has cured after a time at one temperature, and how hot it gets when no heat leaves it.

Source of the rate: Kamal and Sourour, Polym. Eng. Sci. 13:59-64, 1973 (from memory, unopened). Constants are the
user's: none is fit to print for a resin that nobody measured.
"""

from __future__ import annotations

import math

from optimiser.errors import OutOfRangeError
from optimiser.physics.arrhenius import GAS_CONSTANT_J_MOL_K

KINETICS_TOLERANCE = 1e-12
LEAST_SHARE = 1e-6
"""Shares cured above this keep all their digits: cure starts so slowly that an absolute tolerance would drown it."""


def kamal_rate_1_s(
    *,
    cured_share: float,
    temperature_k: float,
    first_factor_1_s: float,
    first_energy_j_mol: float,
    second_factor_1_s: float,
    second_energy_j_mol: float,
    share_power: float,
    rest_power: float,
) -> float:
    """Rate of cure, 1/s: da/dt = (k1 + k2 a^m)(1 - a)^n, k_i = A_i exp(-E_i / (R T)).

    a between 0 and 1 and temperature above 0 K, else OutOfRangeError. Source: Kamal and Sourour 1973 (from memory).
    """
    if not 0 <= cured_share <= 1:
        raise OutOfRangeError(f"the cured share lies between 0 and 1, found {cured_share}")
    if not temperature_k > 0:
        raise OutOfRangeError(f"temperatures must lie above 0 K, found {temperature_k} K")
    first_1_s = first_factor_1_s * math.exp(-first_energy_j_mol / (GAS_CONSTANT_J_MOL_K * temperature_k))
    second_1_s = second_factor_1_s * math.exp(-second_energy_j_mol / (GAS_CONSTANT_J_MOL_K * temperature_k))
    return (first_1_s + second_1_s * math.pow(cured_share, share_power)) * math.pow(1 - cured_share, rest_power)


def kamal_cured_share(
    *,
    time_s: float,
    temperature_k: float,
    first_factor_1_s: float,
    first_energy_j_mol: float,
    second_factor_1_s: float,
    second_energy_j_mol: float,
    share_power: float,
    rest_power: float,
) -> float:
    """Share cured after a time at one temperature, none at the start: the integral of `kamal_rate_1_s`.

    Times of 0 or more, else OutOfRangeError; range and source as for the rate. Cure that stops because the resin turns
    to glass first is not in this law.
    """
    if not time_s >= 0:
        raise OutOfRangeError(f"cure runs forward from time 0, found {time_s} s")
    from scipy.integrate import solve_ivp  # a second to load, and only kinetics need it

    def rate_1_s(share: float) -> float:
        return kamal_rate_1_s(
            cured_share=min(max(share, 0.0), 1.0),
            temperature_k=temperature_k,
            first_factor_1_s=first_factor_1_s,
            first_energy_j_mol=first_energy_j_mol,
            second_factor_1_s=second_factor_1_s,
            second_energy_j_mol=second_energy_j_mol,
            share_power=share_power,
            rest_power=rest_power,
        )

    run = solve_ivp(
        lambda _time_s, share: [rate_1_s(share[0])],
        (0.0, time_s),
        [0.0],
        method="DOP853",
        rtol=KINETICS_TOLERANCE,
        atol=KINETICS_TOLERANCE * LEAST_SHARE,
    )
    return float(run.y[0, -1])


def kamal_time_s(
    *,
    cured_share: float,
    temperature_k: float,
    first_factor_1_s: float,
    first_energy_j_mol: float,
    second_factor_1_s: float,
    second_energy_j_mol: float,
    share_power: float,
    rest_power: float,
) -> float:
    """Time, s, at one temperature until a share has cured: the integral of da over `kamal_rate_1_s`.

    With the share at gel it is the gel time. Share from 0 to below 1, else OutOfRangeError; source as for the rate.
    """
    if not 0 <= cured_share < 1:
        raise OutOfRangeError(f"the cured share asked for lies from 0 to below 1, found {cured_share}")
    from scipy.integrate import quad

    def slowness_s(share: float) -> float:
        return 1 / kamal_rate_1_s(
            cured_share=share,
            temperature_k=temperature_k,
            first_factor_1_s=first_factor_1_s,
            first_energy_j_mol=first_energy_j_mol,
            second_factor_1_s=second_factor_1_s,
            second_energy_j_mol=second_energy_j_mol,
            share_power=share_power,
            rest_power=rest_power,
        )

    return float(quad(slowness_s, 0.0, cured_share, epsabs=0.0, epsrel=1e-11, limit=200)[0])


def adiabatic_rise_k(
    *,
    heat_of_cure_j_kg: float,
    fibre_mass_fraction: float,
    resin_heat_j_kg_k: float,
    fibre_heat_j_kg_k: float,
) -> float:
    """Rise in temperature, K, if all heat of cure stays inside: H (1 - psi) / [psi c_f + (1 - psi) c_r].

    H per kg of resin, psi the fibre content by mass, 0 for resin alone; 0 <= psi < 1, else OutOfRangeError. The most
    that a thick laminate or a full bucket can reach; heat that flows off lowers it. Derived from the heat balance.
    """
    if not 0 <= fibre_mass_fraction < 1:
        raise OutOfRangeError(f"fibre content by mass lies from 0 to below 1, found {fibre_mass_fraction}")
    resin = 1 - fibre_mass_fraction
    return heat_of_cure_j_kg * resin / (fibre_mass_fraction * fibre_heat_j_kg_k + resin * resin_heat_j_kg_k)
