"""How far a resin has cured after a time at one temperature, and how hot it gets when no heat leaves it.

Constants are the user's: none is fit to print for a resin that nobody measured.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from optimiser.errors import OutOfRangeError
from optimiser.in_range import check_positive
from optimiser.physics.arrhenius import GAS_CONSTANT_J_MOL_K

FloatArray = NDArray[np.float64]

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

    a is the share cured, T in K, A_i in 1/s, E_i in J/mol. Range: a from 0 to 1 and temperature above 0 K, else
    OutOfRangeError; temperatures in which the constants were fitted. Source: Kamal and Sourour, Polym. Eng. Sci.
    13:59-64, 1973 (from memory, unopened).
    """
    if not 0 <= cured_share <= 1:
        raise OutOfRangeError(f"the cured share lies between 0 and 1, found {cured_share}")
    if not temperature_k > 0:
        raise OutOfRangeError(f"temperatures must lie above 0 K, found {temperature_k} K")
    first_1_s = first_factor_1_s * math.exp(-first_energy_j_mol / (GAS_CONSTANT_J_MOL_K * temperature_k))
    second_1_s = second_factor_1_s * math.exp(-second_energy_j_mol / (GAS_CONSTANT_J_MOL_K * temperature_k))
    return _rate_1_s(first_1_s, second_1_s, cured_share, share_power, rest_power)


def _rate_1_s(first_1_s: float, second_1_s: float, cured_share: float, share_power: float, rest_power: float) -> float:
    return (first_1_s + second_1_s * math.pow(cured_share, share_power)) * math.pow(1 - cured_share, rest_power)


def factor_at_gel_ratio_1_s(*, factor_1_s: float, gel_ratio: float) -> float:
    """Factor of a rate, 1/s, of a resin that gels after another share of the time: A' = A / r.

    A in 1/s, r the new gel time over the old. Range: r above 0, else OutOfRangeError; all rates of the cure change
    alike. Source: derived, da/dt = A f(a, T), of which time stands over 1 / A alone.
    """
    check_positive(gel_ratio=gel_ratio)
    return factor_1_s / gel_ratio


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
    """Share cured after a time at one temperature: a(t) of da/dt = (k1 + k2 a^m)(1 - a)^n, a(0) = 0.

    t in s; the rate and its arguments as in `kamal_rate_1_s`; by an adaptive Runge-Kutta method of order 8. Range:
    times of 0 or more and temperature above 0 K, else OutOfRangeError; temperatures in which the constants were fitted.
    Cure that stops because the resin turns to glass first is not in this law. Source: Kamal and Sourour, Polym. Eng.
    Sci. 13:59-64, 1973 (from memory, unopened); its integral derived.
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
    """Time, s, at one temperature until a share a has cured: t = integral from 0 to a of da / [(k1 + k2 a^m)(1 - a)^n].

    With the share at gel it is the gel time; the rate and its arguments as in `kamal_rate_1_s`. Range: shares from 0 to
    below 1 and temperature above 0 K, else OutOfRangeError; temperatures in which the constants were fitted. Source:
    Kamal and Sourour, Polym. Eng. Sci. 13:59-64, 1973 (from memory, unopened); its integral derived.
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


def kamal_cured_shares(
    *,
    time_s: FloatArray,
    temperature_k: FloatArray,
    first_factor_1_s: float,
    first_energy_j_mol: float,
    second_factor_1_s: float,
    second_energy_j_mol: float,
    share_power: float,
    rest_power: float,
    times_as_fast: FloatArray | float = 1.0,
) -> FloatArray:
    """(moments,): share cured at each moment of a history of temperatures, none at the first.

    a(t) of da/dt = f (k1 + k2 a^m)(1 - a)^n by the classical Runge-Kutta method, f = times_as_fast, a pure number; the
    rest as in `kamal_rate_1_s`. time_s, temperature_k: (moments,), s and K; they and f are straight between moments,
    which never fall; a jump stands twice. Range: temperatures above 0 K, else OutOfRangeError; those in which the
    constants were fitted, moments so close that k dt is far below 1. Source: Kamal and Sourour, Polym. Eng. Sci.
    13:59-64, 1973 (from memory, unopened); its integral derived.
    """
    if not np.all(temperature_k > 0):
        raise OutOfRangeError("temperatures must lie above 0 K")
    per_k = -1 / (GAS_CONSTANT_J_MOL_K * _with_middles(temperature_k))
    faster = _with_middles(np.broadcast_to(np.asarray(times_as_fast, dtype=np.float64), time_s.shape))
    first_1_s = first_factor_1_s * np.exp(first_energy_j_mol * per_k) * faster
    second_1_s = second_factor_1_s * np.exp(second_energy_j_mol * per_k) * faster

    def rate_1_s(moment: int, share: float) -> float:
        cured = min(max(share, 0.0), 1.0)
        return _rate_1_s(float(first_1_s[moment]), float(second_1_s[moment]), cured, share_power, rest_power)

    shares = np.zeros(len(time_s))
    for k, lasts_s in enumerate(np.diff(time_s).tolist()):
        cured = float(shares[k])
        one = rate_1_s(2 * k, cured)
        two = rate_1_s(2 * k + 1, cured + 0.5 * lasts_s * one)
        three = rate_1_s(2 * k + 1, cured + 0.5 * lasts_s * two)
        four = rate_1_s(2 * k + 2, cured + lasts_s * three)
        shares[k + 1] = min(cured + lasts_s * (one + 2 * two + 2 * three + four) / 6, 1.0)
    return shares


def _with_middles(values: FloatArray) -> FloatArray:
    """Each value, and between neighbours their mean."""
    out = np.empty(2 * len(values) - 1)
    out[::2], out[1::2] = values, 0.5 * (values[1:] + values[:-1])
    return out


def adiabatic_rise_k(
    *,
    heat_of_cure_j_kg: float,
    fibre_mass_fraction: float,
    resin_heat_j_kg_k: float,
    fibre_heat_j_kg_k: float,
) -> float:
    """Rise in temperature, K, if all heat of cure stays inside: dT = H (1 - psi) / [psi c_f + (1 - psi) c_r].

    H in J per kg of resin, psi the fibre content by mass, 0 for resin alone; c_f and c_r in J/(kg K). The most that a
    thick laminate or a full bucket can reach; heat that flows off lowers it. Range: 0 <= psi < 1, else OutOfRangeError.
    Source: derived from the heat balance.
    """
    if not 0 <= fibre_mass_fraction < 1:
        raise OutOfRangeError(f"fibre content by mass lies from 0 to below 1, found {fibre_mass_fraction}")
    resin = 1 - fibre_mass_fraction
    return heat_of_cure_j_kg * resin / (fibre_mass_fraction * fibre_heat_j_kg_k + resin * resin_heat_j_kg_k)
