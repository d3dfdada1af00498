"""The ranking of what failures go with, and quantiles of times that may be never."""

from __future__ import annotations

import math

import numpy as np
import pytest

from optimiser.scatter.drivers import rank_drivers
from optimiser.scatter.factors import Factor, FactorKind
from optimiser.scatter.law import Chance, Even
from optimiser.scatter.quantiles import QUANTILES, quantiles_of

LAW = Even(low=0.0, high=1.0)


def quantity(name: str) -> Factor:
    return Factor(kind=FactorKind.PERMEABILITY, name=name, law=LAW)


def test_what_decides_stands_first() -> None:
    """Shots fail where the second of three quantities is high; the first and the third are noise."""
    random = np.random.default_rng(2)
    values = random.uniform(size=(200, 3))
    failed = values[:, 1] > 0.8
    ranked = rank_drivers(tuple(map(quantity, "abc")), values, failed, 100.0 + values[:, 1])
    assert ranked[0].factor.name == "b"
    assert (ranked[0].failed_when_low, ranked[0].by_chance < 1e-6) == (0.0, True)
    assert ranked[0].with_wet_out == pytest.approx(1.0)
    assert all(one.by_chance > 0.01 for one in ranked[1:])


def test_without_failures_the_rank_goes_by_wet_out() -> None:
    """A plan that never failed still says what moves its time."""
    values = np.column_stack([np.sin(np.arange(60.0)), np.arange(60.0)])
    ranked = rank_drivers((quantity("a"), quantity("b")), values, np.zeros(60, dtype=bool), -np.arange(60.0))
    assert [one.factor.name for one in ranked] == ["b", "a"]
    assert ranked[0].with_wet_out == pytest.approx(-1.0)


def test_the_test_of_chance_is_fisher_s() -> None:
    """Three of four against one of four: 34 / 70, his example (The Design of Experiments, 1935, from memory)."""
    failed = np.array([True, False, False, False] + [False] * 4 + [True, True, True, False])
    (driver,) = rank_drivers((quantity("tea"),), np.arange(12.0)[:, None], failed, np.arange(12.0))
    assert (driver.failed_when_low, driver.failed_when_high) == (0.25, 0.75)
    assert driver.by_chance == pytest.approx(34 / 70, abs=1e-6)


def test_the_correlation_is_of_ranks() -> None:
    """1 - 6 sum(d^2) / (n (n^2 - 1)), Spearman's formula without ties; infinity ranks last."""
    values, wet = np.array([3.0, 1.0, 4.0, 2.0, 5.0]), np.array([30.0, 10.0, 20.0, 40.0, math.inf])
    (driver,) = rank_drivers((quantity("a"),), values[:, None], np.isinf(wet), wet)
    differences = np.array([3, 1, 4, 2, 5]) - np.array([3, 1, 2, 4, 5])
    assert driver.with_wet_out == pytest.approx(1 - 6 * (differences**2).sum() / (5 * 24), abs=1e-6)


def test_a_gap_is_held_against_its_absence() -> None:
    """Two values make two groups, however unequal."""
    there = np.array([0.0] * 15 + [1.0] * 5)
    gap = Factor(kind=FactorKind.GAP_THERE, name="edge", law=Chance(of=0.25))
    (driver,) = rank_drivers((gap,), there[:, None], there > 0, np.arange(20.0))
    assert (driver.failed_when_low, driver.failed_when_high) == (0.0, 1.0)


def test_what_does_not_vary_has_no_correlation() -> None:
    """Neither a quantity that stood still nor a wet-out that did."""
    (driver,) = rank_drivers((quantity("a"),), np.ones((20, 1)), np.zeros(20, dtype=bool), np.arange(20.0))
    assert driver.with_wet_out is None
    assert driver.by_chance == 1.0


def test_quantiles_are_those_of_the_general_library() -> None:
    """numpy's 'inverted_cdf', another implementation of the same definition; never is a time like any other."""
    times = np.random.default_rng(1).uniform(size=137)
    assert quantiles_of(times.tolist()) == tuple(np.quantile(times, QUANTILES, method="inverted_cdf"))
    assert quantiles_of([1.0, 2.0, math.inf]) == (1.0, 2.0, math.inf)
    with pytest.raises(ValueError, match="no times"):
        quantiles_of([])
