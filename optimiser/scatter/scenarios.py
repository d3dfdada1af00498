"""The variations that every leading sequence is played in: the same ones for all, from the seed of the case alone."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optimiser.scatter.factors import Factor, FactorKind

_NEAREST = 1e-12
"""A share of the shots is kept this far from 0 and 1, where a lognormal law has no value."""


@dataclass(frozen=True, kw_only=True)
class Scenario:
    number: int
    """From 1; the patchy field of permeability is drawn for it."""
    factors: tuple[Factor, ...]
    values: tuple[float, ...]
    """One for each factor."""

    def value(self, kind: FactorKind, name: str = "", *, otherwise: float) -> float:
        """What this scenario says of one quantity; `otherwise` where it does not scatter."""
        for factor, value in zip(self.factors, self.values, strict=True):
            if factor.kind is kind and factor.name == name:
                return value
        return otherwise


def draw_scenarios(factors: tuple[Factor, ...], count: int, *, seed: int) -> tuple[Scenario, ...]:
    """A Latin hypercube: each quantity takes one value out of each of `count` equally likely pieces of its law.

    McKay, Beckman and Conover, Technometrics 21(2):239-245, 1979 (from memory), by scipy.stats.qmc. So the law of each
    quantity alone is met for any count, not only for powers of two. A share found on it varies at most as much as on
    count - 1 shots drawn one by one (Owen, SIAM J. Numer. Anal. 34(5):1884-1910, 1997, from memory), which is why the
    interval of `chance_of` may be used with it.
    """
    if not factors:
        return tuple(Scenario(number=k, factors=(), values=()) for k in range(1, count + 1))
    from scipy.stats import qmc  # most of a second to load, and only variations need it

    shares = qmc.LatinHypercube(d=len(factors), rng=np.random.default_rng(seed)).random(count)
    shares = np.clip(shares, _NEAREST, 1.0 - _NEAREST)
    return tuple(
        Scenario(
            number=number,
            factors=factors,
            values=tuple(factor.law.at(float(share)) for factor, share in zip(factors, row, strict=True)),
        )
        for number, row in enumerate(shares, start=1)
    )
