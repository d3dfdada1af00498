"""Times become ticks on the safe side: arrivals up, limits down."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimiser.sequencing.zone_problem import ticks_down, ticks_up

TICKS_S = st.floats(min_value=1.0, max_value=120.0)
TIMES_S = st.floats(min_value=0.0, max_value=2e5)
SLACK = 2e-9
"""In ticks: 1e-9 that the code allows so that a whole number of ticks stays one, and as much for the arithmetic."""


@given(time_s=TIMES_S, tick_s=TICKS_S)
def test_an_arrival_is_never_before_the_resin(time_s: float, tick_s: float) -> None:
    """The tick is at or after the time, by less than one tick."""
    late = ticks_up(time_s, tick_s) - time_s / tick_s
    assert -SLACK <= late < 1.0


@given(time_s=TIMES_S, tick_s=TICKS_S)
def test_a_limit_is_never_after_its_time(time_s: float, tick_s: float) -> None:
    """The tick is at or before the time, by less than one tick."""
    early = time_s / tick_s - ticks_down(time_s, tick_s)
    assert -SLACK <= early < 1.0


@given(ticks=st.integers(min_value=0, max_value=10_000), tick_s=TICKS_S)
def test_whole_ticks_stay_what_they_are(ticks: int, tick_s: float) -> None:
    """A whole number of ticks is not lengthened or shortened by the last bit of a quotient."""
    assert ticks_up(ticks * tick_s, tick_s) == ticks_down(ticks * tick_s, tick_s) == ticks


@pytest.mark.parametrize(
    ("time_s", "up", "down"), [(0.0, 0, 0), (0.01, 1, 0), (14.99, 3, 2), (15.0, 3, 3), (15.01, 4, 3)]
)
def test_times_on_a_five_second_tick(time_s: float, up: int, down: int) -> None:
    """A few by hand."""
    assert (ticks_up(time_s, 5.0), ticks_down(time_s, 5.0)) == (up, down)


def test_a_time_that_never_comes_is_not_made_a_tick() -> None:
    """Infinity is refused rather than turned into some number."""
    for rounding in (ticks_up, ticks_down):
        with pytest.raises(OverflowError):
            rounding(math.inf, 5.0)
