"""The comparison principle: without a flow cap, more lines or earlier ones never make a cell wet later.

Source: maximum principle of the obstacle problem behind one-phase filling (Elliott & Janovsky, Proc. R. Soc.
Edinb. A 88:93-107, 1981, from memory). It makes the best single line an upper bound, all at once a lower.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from optimiser.part.part import LaminateArea, Part
from optimiser.part.sequence import Action

few = settings(max_examples=10, deadline=None, derandomize=True, phases=(Phase.explicit, Phase.generate))
READ_OFF = 0.02
"""Arrivals are read off within a step, 1 to 2 % of the sheet, at an even pace, and two runs do not take
the same steps: a cell may seem later by this share of the slower run's wet-out time."""


def panel_with_island(mould: Any) -> Part:
    """A metre by half a metre: three lines across it, an island ten times tighter, vents at both ends."""
    lines = tuple(
        mould.feed_line(str(k), (x_m, 0.05), (x_m, 0.45)) for k, x_m in enumerate((0.21, 0.51, 0.81))
    )
    island = LaminateArea(
        name="island",
        laminate=mould.laminate(1e-10),
        border_m=((0.3, 0.1), (0.45, 0.1), (0.45, 0.3), (0.3, 0.3)),
    )
    vents = (mould.vent("V", (0.0, 0.0), (0.0, 0.5)), mould.vent("W", (1.0, 0.0), (1.0, 0.5)))
    return mould.panel(1.0, 0.5, mould.laminate(), lines, vents, patches=(island,))


@pytest.fixture(scope="module")
def network(mould: Any) -> Any:
    return mould.reduce(panel_with_island(mould), 0.05)


def arrivals_s(mould: Any, network: Any, opens_s: dict[str, float]) -> np.ndarray:
    """By the clock, so that nothing but the opening times differs between two runs."""
    steps = [
        *mould.open_at_start(*(label for label, at_s in opens_s.items() if at_s == 0)),
        *(mould.at_clock(Action.OPEN, label, at_s) for label, at_s in opens_s.items() if at_s > 0),
    ]
    return mould.fill_network(network, *steps).arrival_s[: network.cell_count]


def check_never_later(sooner_s: np.ndarray, later_s: np.ndarray) -> None:
    assert np.isfinite(later_s).all()
    assert (sooner_s <= later_s + READ_OFF * later_s.max()).all()


times = st.sampled_from([0.0, 10.0, 40.0, 120.0, 400.0])


@given(opens=st.tuples(st.just(0.0), times, times), line=st.integers(0, 2), share=st.sampled_from([0.0, 0.5]))
@few
def test_opening_one_line_earlier(
    mould: Any, network: Any, opens: tuple[float, ...], line: int, share: float
) -> None:
    """One line at half its time, or at the start, the others as before."""
    opens_s = {str(k): at_s for k, at_s in enumerate(opens)}
    earlier_s = opens_s | {str(line): share * opens[line]}
    check_never_later(arrivals_s(mould, network, earlier_s), arrivals_s(mould, network, opens_s))


@given(opens=st.tuples(times, times, times), added=st.integers(0, 2))
@few
def test_opening_one_line_more(mould: Any, network: Any, opens: tuple[float, ...], added: int) -> None:
    """The first of two lines at the start, then with a third at some time or other."""
    two = [k for k in range(3) if k != added]
    opens_s = {str(two[0]): 0.0, str(two[1]): opens[two[1]]}
    more_s = opens_s | {str(added): opens[added]}
    check_never_later(arrivals_s(mould, network, more_s), arrivals_s(mould, network, opens_s))


def test_all_at_once_is_a_lower_bound_and_the_best_single_line_an_upper_one(mould: Any, network: Any) -> None:
    """Lines opened in turn are between them at every cell."""
    in_turn = mould.fill_network(
        network, *mould.open_at_start("0"), mould.open_on_reach("1"), mould.open_on_reach("2")
    )
    turn_s = in_turn.arrival_s[: network.cell_count]
    check_never_later(arrivals_s(mould, network, {"0": 0.0, "1": 0.0, "2": 0.0}), turn_s)
    opened_s = {one.step.label: one.done_s for one in in_turn.steps}
    alone_s = [at_s + arrivals_s(mould, network, {label: 0.0}) for label, at_s in opened_s.items()]
    check_never_later(turn_s, np.min(alone_s, axis=0))
