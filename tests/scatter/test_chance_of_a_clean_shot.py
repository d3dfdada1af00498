"""The interval of confidence, against its own definition, what tables print, and how often it covers."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import binom

from optimiser.scatter.chance import CONFIDENCE, chance_of

TAIL = (1 - CONFIDENCE) / 2


@pytest.mark.parametrize(
    ("clean", "count", "low", "high"),
    [(0, 10, 0.0, 0.3085), (1, 10, 0.0025, 0.4450), (5, 10, 0.1871, 0.8129), (10, 10, 0.6915, 1.0)],
)
def test_the_interval_is_that_of_the_tables(clean: int, count: int, low: float, high: float) -> None:
    """Exact binomial limits at 95 %, four figures as printed in tables of statistics (from memory)."""
    found = chance_of(clean, count)
    assert (found.low, found.high) == pytest.approx((low, high), abs=5e-5)


@pytest.mark.parametrize(("clean", "count"), [(96, 100), (1, 40), (250, 500)])
def test_the_ends_are_where_the_tails_are_even(clean: int, count: int) -> None:
    """The definition of Clopper and Pearson: at the low end so many clean or more come in 2.5 of 100 cases.

    Ends are rounded to a millionth, which moves a tail by less than a thousandth of itself.
    """
    found = chance_of(clean, count)
    assert binom.sf(clean - 1, count, found.low) == pytest.approx(TAIL, rel=1e-3)
    assert binom.cdf(clean, count, found.high) == pytest.approx(TAIL, rel=1e-3)


@pytest.mark.parametrize("count", [20, 100])
def test_all_clean_is_not_certain(count: int) -> None:
    """None failed: the low end is 0.025^(1 / n), as (low)^n = 0.025. Derived."""
    found = chance_of(count, count)
    assert found.share == found.high == 1.0
    assert found.low == pytest.approx(TAIL ** (1 / count), abs=1e-6)


def test_it_covers_at_least_as_often_as_stated() -> None:
    """Whatever the true chance: summed over every outcome of 30 shots."""
    intervals = [(one.low - 1e-6, one.high + 1e-6) for one in (chance_of(clean, 30) for clean in range(31))]
    for true in np.linspace(0.005, 0.995, 199):
        held = sum(binom.pmf(k, 30, true) for k, (low, high) in enumerate(intervals) if low <= true <= high)
        assert held >= CONFIDENCE - 1e-9
