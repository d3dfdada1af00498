"""What permeability that scatters does to a fill time: all of a part off together, lognormal, the mean kept.

A straight or round front takes a time that goes with 1 / K, so its quantiles are exact. Derived; that permeability is
taken as lognormal is common practice, no source.
"""

from __future__ import annotations

import math
from statistics import NormalDist

from optimiser.errors import OutOfRangeError


def log_deviation(variation: float) -> float:
    """Standard deviation of ln K from the coefficient of variation of K: sqrt(ln(1 + CV^2)).

    Range: CV of 0 or more, else OutOfRangeError.
    """
    if not variation >= 0:
        raise OutOfRangeError(f"a coefficient of variation is 0 or more, found {variation}")
    return math.sqrt(math.log1p(variation**2))


def mean_time_ratio(variation: float) -> float:
    """Mean fill time over the time at the mean permeability: E[1 / K] E[K] = 1 + CV^2.

    Range: CV of 0 or more, else OutOfRangeError.
    """
    return math.exp(log_deviation(variation) ** 2)


def time_ratio_at_chance(*, variation: float, chance: float) -> float:
    """The ratio of times that a shot stays below with a chance: exp(s^2 / 2 + s z), s as in `log_deviation`.

    z is the normal quantile of the chance. Range: chances between 0 and 1, else OutOfRangeError; one permeability for
    the whole part: where it varies within the part, the quantiles lie closer together, the mean does not move.
    """
    if not 0 < chance < 1:
        raise OutOfRangeError(f"a chance lies between 0 and 1, found {chance}")
    deviation = log_deviation(variation)
    return math.exp(deviation**2 / 2 + deviation * NormalDist().inv_cdf(chance))
