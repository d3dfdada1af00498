"""What permeability that scatters does to a fill time: all of a part off together, lognormal, the mean kept.

A straight or round front takes a time that goes with 1 / K, so its quantiles are exact.
"""

from __future__ import annotations

import math
from statistics import NormalDist
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from optimiser.errors import OutOfRangeError

Values = TypeVar("Values", float, NDArray[np.float64])


def log_deviation(variation: float) -> float:
    """Standard deviation of ln K, a pure number, from the coefficient of variation of K: s = sqrt(ln(1 + CV^2)).

    Range: CV of 0 or more, else OutOfRangeError. Source: moments of the lognormal distribution; that permeability is
    taken as lognormal is common practice, no source.
    """
    if not variation >= 0:
        raise OutOfRangeError(f"a coefficient of variation is 0 or more, found {variation}")
    return math.sqrt(math.log1p(variation**2))


def factor_of_mean_one(*, variation: float, deviations: Values) -> Values:
    """What a lognormal value is over its mean, a pure number: f = exp(s z - s^2 / 2), s as in `log_deviation`.

    z = `deviations`: how many standard deviations of its logarithm it lies above the median, a number or an array.
    Range: coefficient of variation of 0 or more, else OutOfRangeError; any z. Source: quantiles of the lognormal
    distribution.
    """
    deviation = log_deviation(variation)
    factor: Values = np.exp(deviation * deviations - deviation**2 / 2)
    return factor


def wave_field(
    place_m: NDArray[np.float64], waves_1_m: NDArray[np.float64], phases_rad: NDArray[np.float64]
) -> NDArray[np.float64]:
    """(n,): a smooth random field of mean 0 and deviation 1 at places: f = sqrt(2 / N) sum over N of cos(k x + a).

    place_m: (n, d), m; waves_1_m: (d, N), 1/m, drawn from a normal law of deviation 1 / L; phases_rad: (N,), rad, drawn
    evenly from a whole turn. Its correlation is exp(-r^2 / (2 L^2)), r the distance, the closer the more waves. Range:
    one wave or more, not checked. Source: random Fourier features (Rahimi and Recht 2007, from memory).
    """
    return np.asarray(math.sqrt(2 / len(phases_rad)) * np.cos(np.matmul(place_m, waves_1_m) + phases_rad).sum(axis=1))


def factor_between(one: Values, other: Values) -> Values:
    """Factor on what passes between two places whose permeabilities are f1 and f2 times as planned, a pure number:
    f = sqrt(f1 f2).

    Numbers, or arrays of one shape. Range: both above 0, not checked; a sheet, as this is exact for a chequerboard of
    the two in a plane. Source: Keller, J. Math. Phys. 5:548-549, 1964 (from memory).
    """
    between: Values = np.sqrt(one * other)
    return between


def factors_at_joints(factors: NDArray[np.float64], joints: NDArray[np.intp], count: int) -> NDArray[np.float64]:
    """(count,): of each joint the geometric mean of the factors of its n places, f = (f1 f2 ... fn)^(1/n), a pure
    number; 1 for a joint of none.

    factors: (m,), joints: (m,), the joint that each belongs to, from 0. Range: factors above 0, not checked. Source:
    mean of the logarithms, the median where they are lognormal, as in `factor_between`.
    """
    joined = np.bincount(joints, minlength=count)
    return np.asarray(np.exp(np.bincount(joints, np.log(factors), minlength=count) / np.maximum(joined, 1)))


def mean_time_ratio(variation: float) -> float:
    """Mean fill time over the time at the mean permeability, a pure number: E[1 / K] E[K] = 1 + CV^2.

    Range: CV of 0 or more, else OutOfRangeError; one permeability for the whole part. Source: derived from the moments
    of the lognormal distribution, time as 1 / K.
    """
    return math.exp(log_deviation(variation) ** 2)


def time_ratio_at_chance(*, variation: float, chance: float) -> float:
    """Ratio of times that a shot stays below with a chance: t / t_mean = exp(s^2 / 2 + s z), s as in `log_deviation`.

    z is the normal quantile of the chance, a share; t_mean the time at the mean permeability. Range: chances between 0
    and 1, else OutOfRangeError; one permeability for the whole part: where it varies within the part, the quantiles lie
    closer together, the mean does not move. Source: derived from the quantiles of the lognormal distribution, time as 1
    / K.
    """
    if not 0 < chance < 1:
        raise OutOfRangeError(f"a chance lies between 0 and 1, found {chance}")
    deviation = log_deviation(variation)
    return math.exp(deviation**2 / 2 + deviation * NormalDist().inv_cdf(chance))
