"""Printed minutes err to the safe side, by less than a tenth."""

from __future__ import annotations

import math
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimiser.case.late_spread import late_spread
from optimiser.case.printed_minutes import limit_min, margin_min, minutes_down, minutes_up, wet_out_min

seconds = st.integers(min_value=-360_000, max_value=360_000)
"""Whole seconds up to 100 hours: exact in binary and in decimal."""

TENTH = Decimal("0.1")


@given(seconds)
def test_minutes_are_those_of_decimal_arithmetic(time_s: int) -> None:
    """Python's decimal module is the referee: up for wet-out, down for limit and margin."""
    exact = Decimal(time_s) / 60
    up, down = exact.quantize(TENTH, ROUND_CEILING), exact.quantize(TENTH, ROUND_FLOOR)
    assert f"{wet_out_min(float(time_s)):.1f}" == f"{up + 0:.1f}"
    assert f"{limit_min(float(time_s)):.1f}" == f"{down + 0:.1f}"


@given(st.floats(0, 1e5), st.floats(0, 1e5))
def test_a_margin_is_the_difference_of_what_is_printed(limit_s: float, wet_out_s: float) -> None:
    """So that the line adds up, and never more than the margin is."""
    limit, wet_out, margin = limit_min(limit_s), wet_out_min(wet_out_s), margin_min(limit_s, wet_out_s)
    assert Decimal(f"{margin:.1f}") == Decimal(f"{limit:.1f}") - Decimal(f"{wet_out:.1f}")
    assert margin <= (limit_s - wet_out_s) / 60 + 1e-6  # printed from times rounded to a ten-millionth of a minute


@pytest.mark.parametrize("margin_s", [-1e-3, -0.5, -5.99])
def test_a_little_too_late_is_too_late_in_print(margin_s: float) -> None:
    """−0.0 would read as just in time."""
    assert margin_min(600.0 + margin_s, 600.0) == -0.1


def test_a_whole_tenth_stays() -> None:
    """The noise of binary arithmetic moves nothing: 0.1 + 0.2 is a little more than 0.3."""
    assert wet_out_min((0.1 + 0.2) * 60) == 0.3
    assert limit_min((0.8 - 0.1) * 60) == 0.7


def test_what_is_not_known_stays_so() -> None:
    """No answer is not nought."""
    assert (wet_out_min(None), limit_min(None), margin_min(None, 60.0)) == (None, None, None)


def test_whole_minutes_never_allow_more_than_there_is() -> None:
    """A limit of 37.8 min is 37, what takes 37.2 min takes 38; both would be 38 and 37 to the nearest."""
    assert minutes_down(37.8 * 60) == "37"
    assert minutes_up(37.2 * 60) == "38"
    assert minutes_down(38.0 * 60) == minutes_up(38.0 * 60) == "38"
    assert minutes_up(math.inf) == "never"
    said = late_spread(1_800.0, 2_287.0, 37.8 * 60)
    assert said is not None
    assert "wet only at minute 39, after the gel limit of minute 37" in said
