"""Printed minutes err to the safe side, by less than a tenth."""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimiser.revalidation.tenths import limit_min, margin_as_printed_min, margin_min, wet_out_min

seconds = st.integers(min_value=-360_000, max_value=360_000)
"""Whole seconds up to 100 hours: exact in binary and in decimal."""

TENTH = Decimal("0.1")


@given(seconds)
def test_minutes_are_those_of_decimal_arithmetic(time_s: int) -> None:
    """Python's decimal module is the referee: up for wet-out, down for limit and margin."""
    exact = Decimal(time_s) / 60
    up, down = exact.quantize(TENTH, ROUND_CEILING), exact.quantize(TENTH, ROUND_FLOOR)
    assert f"{wet_out_min(float(time_s)):.1f}" == f"{up + 0:.1f}"
    assert f"{limit_min(float(time_s)):.1f}" == f"{margin_min(float(time_s)):.1f}" == f"{down + 0:.1f}"


@pytest.mark.parametrize("margin_s", [-1e-3, -0.5, -5.99])
def test_a_little_too_late_is_too_late_in_print(margin_s: float) -> None:
    """−0.0 would read as just in time."""
    assert margin_min(margin_s) == -0.1


def test_a_whole_tenth_stays() -> None:
    """The noise of binary arithmetic moves nothing: 0.1 + 0.2 is a little more than 0.3."""
    assert wet_out_min((0.1 + 0.2) * 60) == 0.3
    assert limit_min((0.8 - 0.1) * 60) == 0.7


def test_what_is_not_known_stays_so() -> None:
    """No answer is not nought."""
    assert (wet_out_min(None), limit_min(None), margin_min(None)) == (None, None, None)


@given(seconds, seconds)
def test_a_line_adds_up_and_its_sign_is_true(wet_out_s: int, limit_s: int) -> None:
    """By decimal arithmetic of the printed tenths: in time is never printed below 0, late always is."""
    exact = Decimal(str(limit_min(limit_s))) - Decimal(str(wet_out_min(wet_out_s)))
    printed = Decimal(str(margin_as_printed_min(wet_out_s, limit_s)))
    assert printed == (max(exact, Decimal(0)) if wet_out_s <= limit_s else exact)
    assert (printed < 0) == (wet_out_s > limit_s)
    assert 0 <= Decimal(limit_s - wet_out_s) / 60 - printed < 2 * TENTH or printed == 0


def test_where_a_time_is_missing_there_is_no_margin() -> None:
    """Never wet has no margin."""
    assert margin_as_printed_min(None, 600.0) is None
    assert margin_as_printed_min(600.0, None) is None
