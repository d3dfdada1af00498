"""How one uncertain quantity is spread, each law by its inverse: from a share of the shots to the value there.

Shares lie above 0 and below 1. Values are rounded to nine digits after the point, because the last digits of a
logarithm depend on the processor and equal inputs are to give equal plans.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

from optimiser.physics.lognormal_scatter import log_deviation

_DIGITS = 9


@dataclass(frozen=True, kw_only=True)
class Lognormal:
    """A factor of mean one: exp(s z - s^2 / 2), s as in `log_deviation`, z the normal quantile of the share."""

    variation: float
    """Coefficient of variation."""

    def at(self, share: float) -> float:
        deviation = log_deviation(self.variation)
        return round(math.exp(deviation * NormalDist().inv_cdf(share) - deviation**2 / 2), _DIGITS)


@dataclass(frozen=True, kw_only=True)
class Even:
    """Anything between the two as likely as anything else."""

    low: float
    high: float

    def at(self, share: float) -> float:
        return round(self.low + (self.high - self.low) * share, _DIGITS)


@dataclass(frozen=True, kw_only=True)
class Chance:
    """There or not: 1 in this share of the shots, else 0."""

    of: float

    def at(self, share: float) -> float:
        return 1.0 if share < self.of else 0.0


Law = Lognormal | Even | Chance
