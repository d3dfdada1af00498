"""How single quantities are spread, and how scenarios are drawn from them."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import lognorm

from optimiser.physics.lognormal_scatter import log_deviation, time_ratio_at_chance
from optimiser.scatter.factors import Factor, FactorKind
from optimiser.scatter.law import Chance, Even, Lognormal
from optimiser.scatter.scenarios import draw_scenarios

ROUNDED = 1e-9
"""Values are rounded to nine digits after the point."""


def factors(count: int) -> tuple[Factor, ...]:
    even = Even(low=0.0, high=1.0)
    return tuple(Factor(kind=FactorKind.PERMEABILITY, name=str(k), law=even) for k in range(count))


@pytest.mark.parametrize("variation", [0.08, 0.25, 0.44])
@pytest.mark.parametrize("share", [0.01, 0.05, 0.5, 0.95, 0.99])
def test_a_lognormal_factor_is_that_of_the_statistics_library(variation: float, share: float) -> None:
    """scipy.stats.lognorm with median exp(-s^2/2); its inverse is the fill time of `time_ratio_at_chance`."""
    deviation = log_deviation(variation)
    found = Lognormal(variation=variation).at(share)
    assert found == pytest.approx(lognorm(deviation, scale=np.exp(-(deviation**2) / 2)).ppf(share), abs=2 * ROUNDED)
    assert 1 / found == pytest.approx(time_ratio_at_chance(variation=variation, chance=1 - share), rel=1e-8)


def test_a_lognormal_factor_keeps_the_mean() -> None:
    """Its integral over all shares is one, by quadrature that knows nothing of the law; good to the tails it leaves."""
    mean = quad(Lognormal(variation=0.25).at, 1e-9, 1 - 1e-9, limit=200)[0]
    assert mean == pytest.approx(1.0, abs=1e-6)


def test_even_and_there_or_not() -> None:
    """The ends, the middle, and a gap that is there in 30 of 100."""
    even = Even(low=-2.0, high=2.0)
    assert [even.at(share) for share in (0.0, 0.5, 1.0)] == [-2.0, 0.0, 2.0]
    assert sum(Chance(of=0.3).at((k + 0.5) / 100) for k in range(100)) == 30


@pytest.mark.parametrize("count", [20, 37, 100])
def test_each_quantity_takes_one_value_of_each_piece_of_its_law(count: int) -> None:
    """What makes it a Latin hypercube, for any count."""
    drawn = np.array([one.values for one in draw_scenarios(factors(3), count, seed=5)])
    for column in drawn.T:
        assert sorted(np.ceil(column * count).astype(int)) == list(range(1, count + 1))


def test_quantities_are_drawn_apart_from_each_other() -> None:
    """No pair is correlated by more than four deviations of chance, 1 / sqrt(n - 1) each."""
    drawn = np.array([one.values for one in draw_scenarios(factors(6), 400, seed=1)])
    off_diagonal = np.corrcoef(drawn.T) - np.eye(6)
    assert np.abs(off_diagonal).max() < 4 / np.sqrt(399)


def test_the_same_seed_draws_the_same_and_another_does_not() -> None:
    """Equal inputs are to give equal plans."""
    first, again, other = (draw_scenarios(factors(2), 20, seed=seed) for seed in (3, 3, 4))
    assert first == again
    assert first != other


def test_without_a_quantity_the_scenarios_differ_in_the_patchy_field_alone() -> None:
    """Which goes by their number."""
    drawn = draw_scenarios((), 20, seed=1)
    assert [one.number for one in drawn] == list(range(1, 21))
    assert drawn[0].value(FactorKind.VACUUM, otherwise=7.0) == 7.0
