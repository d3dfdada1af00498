"""When the resin gels: from measured points, by law, and under a temperature that changes.

Gel in a cup is not gel in the laminate (a thin laminate on a cold mould gels later, a full bucket earlier);
which measurement the points come from is the user's to know.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise

from optimiser.errors import OutOfRangeError
from optimiser.physics.arrhenius import arrhenius_factor, value_between_points

SAME_LEVEL_RELATIVE = 1e-6
"""Initiator levels this close are one level: only rounding of the same number lies between them."""


def gel_time_between_points_s(
    points: tuple[tuple[float, float, float], ...], *, temperature_k: float, initiator_fraction: float
) -> float:
    """Gel time, s, from (temperature_k, initiator_fraction, gel_time_s) points in any order.

    Within one initiator level ln t is linear in 1 / T; between the two measured levels next to the one asked for it
    goes with the level C as t = t1 (C / C1)^-n, n from the two levels themselves. Range: that of the points, nothing is
    extrapolated: OutOfRangeError outside the levels, or outside the temperatures measured at a level that is needed.
    Source: Arrhenius' law between neighbours; the power law of the level is common practice, no source.
    """
    levels = _levels(points)
    if not levels:
        raise OutOfRangeError("the gel time has no measured point")
    for level in levels:
        if _same_level(level, initiator_fraction):
            return _gel_time_at_level_s(points, level, temperature_k)
    if not levels[0] < initiator_fraction < levels[-1]:
        raise OutOfRangeError(
            f"the gel time is measured from {levels[0]:.3%} to {levels[-1]:.3%} initiator; "
            f"asked at {initiator_fraction:.3%}"
        )
    lower, upper = next(pair for pair in pairwise(levels) if pair[0] < initiator_fraction < pair[1])
    lower_s = _gel_time_at_level_s(points, lower, temperature_k)
    upper_s = _gel_time_at_level_s(points, upper, temperature_k)
    share = math.log(initiator_fraction / lower) / math.log(upper / lower)
    return lower_s * math.pow(upper_s / lower_s, share)


def arrhenius_gel_time_s(
    *, reference_gel_time_s: float, reference_k: float, activation_energy_j_mol: float, temperature_k: float
) -> float:
    """Gel time, s, at a constant temperature: t = t_ref exp[(E / R)(1 / T - 1 / T_ref)].

    t_ref in s, E in J/mol, temperatures in K. Range: one initiator level, the temperatures in which E was fitted; above
    0 K, else OutOfRangeError. Source: Arrhenius' law.
    """
    return reference_gel_time_s * arrhenius_factor(
        temperature_k=temperature_k, reference_k=reference_k, activation_energy_j_mol=activation_energy_j_mol
    )


def gel_time_in_history_s(history: tuple[tuple[float, float], ...], gel_time_at_s: Callable[[float], float]) -> float:
    """Age, s, at which the resin gels under a changing temperature: integral of dt / t_gel(T(t)) = 1.

    `history` holds (age_s, temperature_k) in order, the first at age 0; temperature is linear between entries, jumps
    where two entries share an age, and keeps its last value for ever after. `gel_time_at_s` gives the gel time, s, at a
    constant temperature, K, and may raise OutOfRangeError. Range: exact only where one rate law scales with
    temperature; OutOfRangeError for a history out of order. Source: derived from d(cure)/dt = f(cure) / t_gel(T) by
    separating its variables.
    """
    ages_s = [age_s for age_s, _ in history]
    if not ages_s or ages_s[0] != 0 or ages_s != sorted(ages_s):
        raise OutOfRangeError("a temperature history starts at age 0 and runs forward")
    share_left = 1.0
    for start, end in pairwise(history):
        share = _spent_share(start, end, end[0], gel_time_at_s)
        if share >= share_left:
            return _age_when_spent_s(start, end, share_left, gel_time_at_s)
        share_left -= share
    last_s, last_k = history[-1]
    return last_s + share_left * gel_time_at_s(last_k)


def _spent_share(
    start: tuple[float, float],
    end: tuple[float, float],
    until_s: float,
    gel_time_at_s: Callable[[float], float],
) -> float:
    """Share of the gel time used up from `start` to `until_s`, temperature on a straight line to `end`."""
    (start_s, start_k), (end_s, end_k) = start, end
    if until_s == start_s:
        return 0.0

    def rate_1_s(age_s: float) -> float:
        return 1 / gel_time_at_s(start_k + (end_k - start_k) * (age_s - start_s) / (end_s - start_s))

    from scipy.integrate import quad  # a second to load, and only a varying temperature needs it

    return float(quad(rate_1_s, start_s, until_s)[0])


def _age_when_spent_s(
    start: tuple[float, float],
    end: tuple[float, float],
    share: float,
    gel_time_at_s: Callable[[float], float],
) -> float:
    """Age between `start` and `end` at which this share more of the gel time is used up."""
    from scipy.optimize import brentq

    return float(brentq(lambda age_s: _spent_share(start, end, age_s, gel_time_at_s) - share, start[0], end[0]))


def _levels(points: tuple[tuple[float, float, float], ...]) -> list[float]:
    levels: list[float] = []
    for level in sorted(level for _, level, _ in points):
        if not level > 0:
            raise OutOfRangeError(f"initiator levels must be positive, found {level}")
        if not levels or not _same_level(levels[-1], level):
            levels.append(level)
    return levels


def _gel_time_at_level_s(points: tuple[tuple[float, float, float], ...], level: float, temperature_k: float) -> float:
    at_level = tuple((point_k, gel_s) for point_k, fraction, gel_s in points if _same_level(fraction, level))
    return value_between_points(at_level, temperature_k, what=f"the gel time with {level:.3%} initiator")


def _same_level(one: float, other: float) -> bool:
    return math.isclose(one, other, rel_tol=SAME_LEVEL_RELATIVE)
