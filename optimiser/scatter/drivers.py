"""Which of the uncertain quantities go with failures, ranked."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optimiser.network.flow_network import BoolArray, FloatArray
from optimiser.scatter.factors import Factor

_PARTS = 3
_DIGITS = 6
"""Further ones depend on the processor, and equal inputs are to give equal plans."""


@dataclass(frozen=True, kw_only=True)
class Driver:
    factor: Factor
    failed_when_low: float
    """Share of failures in the third of the scenarios where the quantity is lowest; of a gap: where it is not there."""
    failed_when_high: float
    by_chance: float
    """How often so large a difference would come by chance alone (Fisher's exact test, two-sided)."""
    with_wet_out: float | None
    """Rank correlation with wet-out, -1 to 1; None: one of the two does not vary."""

    @property
    def difference(self) -> float:
        return self.failed_when_high - self.failed_when_low


def rank_drivers(
    factors: tuple[Factor, ...], values: FloatArray, failed: BoolArray, wet_out_s: FloatArray
) -> tuple[Driver, ...]:
    """Largest difference of failure shares first; where none fails, strongest rank correlation with wet-out first.

    values: (scenarios, factors). wet_out_s: infinity for never, which ranks last. The difference between the outer
    thirds is common practice, no source; the test is Fisher's (J. R. Stat. Soc. 85(1):87-94, 1922), the correlation
    Spearman's (Am. J. Psychol. 15(1):72-101, 1904), both from memory and by scipy.stats. Each quantity is looked at
    alone: what fails only when two go wrong together shows in neither.
    """
    found = [_driver(factor, values[:, k], failed, wet_out_s) for k, factor in enumerate(factors)]
    order = sorted(range(len(found)), key=lambda k: (-abs(found[k].difference), -abs(found[k].with_wet_out or 0.0), k))
    return tuple(found[k] for k in order)


def _driver(factor: Factor, values: FloatArray, failed: BoolArray, wet_out_s: FloatArray) -> Driver:
    from scipy.stats import fisher_exact, spearmanr  # most of a second to load, and only variations need them

    low, high = _outer_groups(values)
    bad_low, bad_high = int(failed[low].sum()), int(failed[high].sum())
    table = [[bad_low, int(low.sum()) - bad_low], [bad_high, int(high.sum()) - bad_high]]
    varies = np.ptp(values) > 0 and len(np.unique(wet_out_s)) > 1
    return Driver(
        factor=factor,
        failed_when_low=bad_low / max(int(low.sum()), 1),
        failed_when_high=bad_high / max(int(high.sum()), 1),
        by_chance=round(float(fisher_exact(table).pvalue), _DIGITS),
        with_wet_out=round(float(spearmanr(values, wet_out_s).statistic), _DIGITS) if varies else None,
    )


def _outer_groups(values: FloatArray) -> tuple[BoolArray, BoolArray]:
    """The lowest and the highest third; of a quantity with two values, those with the one and with the other."""
    low = np.zeros(len(values), dtype=bool)
    high = np.zeros(len(values), dtype=bool)
    if len(np.unique(values)) <= 2:
        low[values == values.min()] = True
        high[values > values.min()] = True
    else:
        order, third = np.argsort(values, kind="stable"), len(values) // _PARTS
        low[order[:third]] = True
        high[order[len(values) - third :]] = True
    return low, high
