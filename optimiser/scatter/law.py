"""How one uncertain quantity is spread, each law by its inverse: from a share of the shots to the value there.

Shares lie above 0 and below 1. Values are rounded to nine digits after the point, because the last digits of a
logarithm depend on the processor and equal inputs are to give equal plans.
"""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist

from optimiser.physics.lognormal_scatter import factor_of_mean_one

_DIGITS = 9


@dataclass(frozen=True, kw_only=True)
class Lognormal:
    """A factor of mean one: `factor_of_mean_one` at the normal quantile of the share."""

    variation: float
    """Coefficient of variation."""

    def at(self, share: float) -> float:
        at = NormalDist().inv_cdf(share)
        return round(float(factor_of_mean_one(variation=self.variation, deviations=at)), _DIGITS)


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
