"""How many times thicker than fresh a resin is, while temperature changes, by the share of its gel time that is spent.

That the same share spent thickens alike at every temperature holds where one rate law scales with temperature, as for
`gel_clock.gel_time_in_history_s`. Arrays over moments of one history, time never falling.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from optimiser.errors import OutOfRangeError
from optimiser.physics.arrhenius import GAS_CONSTANT_J_MOL_K

_MOST_EXPONENT = 700.0
"""e^700 is about as large as a number can be; a law that says more is far past gel."""

FloatArray = NDArray[np.float64]


def share_of_gel_spent(*, time_s: FloatArray, gel_time_s: FloatArray, at_start: float = 0.0) -> FloatArray:
    """(moments,): share of the gel time spent up to each moment: s = s_0 + integral of dt / t_gel, by trapezoids.

    time_s, gel_time_s: (moments,), s, the gel time at the temperature of each moment; s_0 = at_start, spent before the
    first of them. Range: gel times above 0, moments that never fall, not checked; exact at one temperature. Source:
    derived from d(cure)/dt = f(cure) / t_gel(T) by separating its variables.
    """
    return at_start + _integral(time_s, 1.0 / gel_time_s)


def fluidity_time_1_pa(*, time_s: FloatArray, viscosity_pa_s: FloatArray) -> FloatArray:
    """(moments,): fluidity time from the first moment to each, 1/Pa: theta = integral of dt / mu, by trapezoids.

    time_s, viscosity_pa_s: (moments,), s and Pa s; a jump stands twice. Where viscosity is the same all over the part
    at any moment, the front's path depends on theta alone. Range: viscosities above 0, moments that never fall, not
    checked; exact where 1 / mu is straight between moments. Source: derived from Darcy's law, in which dt / mu is all
    that holds time.
    """
    return _integral(time_s, 1.0 / viscosity_pa_s)


def thickening_at_share(
    spent: FloatArray, *, ages_s: FloatArray, viscosities_pa_s: FloatArray, gel_time_s: float
) -> FloatArray:
    """Viscosity over that of fresh resin where these shares of the gel time are spent: m = mu(s t_gel) / mu(0).

    mu, Pa s, from viscosities measured at rising ages, s, at one temperature, the first at age 0, and the gel time
    t_gel, s, there. The logarithm is linear between points and keeps its last value beyond them, so judge nothing by
    what lies beyond. Range: that of the points; one rate law that scales with temperature; OutOfRangeError for ages out
    of order. Source: derived from that rule; a logarithm that grows evenly with age is the form of Roller, Polym. Eng.
    Sci. 15:406, 1975 (from memory, unopened).
    """
    if ages_s[0] != 0 or np.any(np.diff(ages_s) <= 0) or not np.all(viscosities_pa_s > 0):
        raise OutOfRangeError("viscosities while a resin cures are positive, at rising ages, the first of them 0")
    logarithms = np.log(viscosities_pa_s / viscosities_pa_s[0])
    return np.asarray(np.exp(np.interp(spent, ages_s / gel_time_s, logarithms)))


def thickening_by_law(
    *,
    time_s: FloatArray,
    temperature_k: FloatArray,
    cure_factor_1_s: float,
    cure_energy_j_mol: float,
    times_as_fast: FloatArray | float = 1.0,
    at_start: float = 0.0,
) -> FloatArray:
    """(moments,): viscosity over that of fresh resin along a temperature: ln m = integral of f k exp[-E / (R T)] dt.

    By trapezoids, plus at_start, the logarithm at the first moment. time_s and temperature_k: (moments,), s and K; k in
    1/s, E in J/mol; f = times_as_fast: over the level of initiator that the law was fitted at. At one temperature it is
    `resin_viscosity.dual_arrhenius_viscosity_pa_s` over its own value at time 0. Range: temperatures above 0 K, else
    OutOfRangeError; well before gel. Source: second exponent of the form of Roller, Polym. Eng. Sci. 15:406, 1975 (from
    memory, unopened); its integral derived.
    """
    if not np.all(temperature_k > 0):
        raise OutOfRangeError("temperatures must lie above 0 K")
    rate_1_s = cure_factor_1_s * np.exp(-cure_energy_j_mol / (GAS_CONSTANT_J_MOL_K * temperature_k))
    return np.exp(np.minimum(at_start + _integral(time_s, rate_1_s * times_as_fast), _MOST_EXPONENT))


def thickening_by_cure(
    cured_share: FloatArray, *, gel_share: float, power_at_start: float, power_growth: float
) -> FloatArray:
    """Viscosity over that of fresh resin at shares a cured, pure numbers: m = [a_g / (a_g - a)]^(C1 + C2 a).

    `resin_viscosity.castro_macosko_viscosity_pa_s` over its own value at no cure. It has no bound at gel: from 0.999 of
    a_g, the share there, it keeps its value, so judge nothing by what lies so near. Range: gel share above 0, else
    OutOfRangeError; shares of 0 or more. Source: Castro and Macosko, AIChE J. 28(2):250-260, 1982 (from memory,
    unopened).
    """
    if not gel_share > 0:
        raise OutOfRangeError(f"the share cured at gel lies above 0, found {gel_share}")
    cured = np.minimum(cured_share, 0.999 * gel_share)
    return np.asarray((gel_share / (gel_share - cured)) ** (power_at_start + power_growth * cured))


def _integral(time_s: FloatArray, rate_1_s: FloatArray) -> FloatArray:
    pieces = 0.5 * (rate_1_s[1:] + rate_1_s[:-1]) * np.diff(time_s)
    return np.concatenate([[0.0], np.cumsum(pieces)])
