"""Numbers as the crew reads them."""

from __future__ import annotations

import pytest

from optimiser.run_sheet.proof_words import with_line_words
from optimiser.run_sheet.wording import (
    kilograms,
    min_with_range,
    minute_range,
    minutes,
    step_minutes,
    to_have,
    weighed,
)


def test_a_time_with_its_range_reads_as_the_crew_says_it() -> None:
    """1440 s between 1140 s and 1860 s is minute 24, 19 to 31: 60 s to the minute."""
    assert min_with_range(1440.0, 1140.0, 1860.0, short=False) == "min 24 (19–31)"


def test_a_range_is_only_ever_widened_by_rounding() -> None:
    """The early end is rounded down and the late end up, so that no true minute falls outside."""
    assert minute_range(1199.0, 1801.0, short=False) == "19–31"


def test_whole_minutes_are_not_pushed_up_by_floating_point() -> None:
    """A late end a billionth over minute 31 stays minute 31."""
    assert minute_range(1140.0, 1860.0000001, short=False) == "19–31"


def test_a_short_shot_gets_tenths_of_a_minute() -> None:
    """Whole minutes would not tell 3.5 from 4 in a shot of some minutes."""
    assert minutes(210.0, short=True) == "3.5"
    assert minutes(210.0, short=False) in {"3", "4"}


@pytest.mark.parametrize("span", [(None, 60.0), (60.0, None), (None, None), (60.0, 60.0)])
def test_no_range_is_printed_where_there_is_none(span: tuple[float | None, float | None]) -> None:
    """An unknown or empty range leaves no brackets behind."""
    assert min_with_range(60.0, *span, short=False) == "min 1"


def test_kilograms_carry_no_more_digits_than_a_crew_can_read_off() -> None:
    """Tenths, small or large."""
    assert (kilograms(137.4), kilograms(19.96), kilograms(4.04)) == ("137.4 kg", "20.0 kg", "4.0 kg")


def test_the_least_that_is_weighed_is_never_rounded_down() -> None:
    """292.5 g are 293 g; a billionth of a gram of floating point is none."""
    assert (weighed(12.34), weighed(4.299), weighed(0.8504)) == ("12.340 kg", "4.299 kg", "0.851 kg")
    assert (weighed(0.2925), weighed(0.293000000001)) == ("0.293 kg", "0.293 kg")


def test_resin_on_hand_is_rounded_up_only() -> None:
    """Rounding down would send the yard into the shot short."""
    assert to_have(286.61) == "286.7 kg"
    assert to_have(286.6) == "286.6 kg"


@pytest.mark.parametrize(
    ("said", "reads"),
    [
        ("Outward on reach from 2 locks nothing.", "Outward on reach from line 2 locks nothing."),
        ("y 0.59 m, closed by 2 and 1 at minute 3.8.", "y 0.59 m, closed by lines 2 and 1 at minute 3.8."),
        ("y 0.90 m, closed by 2-AFT and 3-AFT at minute 3.8.", "y 0.90 m, closed by 2-AFT and 3-AFT at minute 3.8."),
        ("from 2.4 m to 3.1 m", "from 2.4 m to 3.1 m"),
    ],
)
def test_a_bare_number_of_a_line_gets_its_word(said: str, reads: str) -> None:
    """Step, tap, line and minute all have numbers; lengths are left alone."""
    assert with_line_words(said) == reads


@pytest.mark.parametrize(
    ("times_min", "short", "said"),
    [
        ((21.3, 15.9, 37.8), False, ("21.5", "15–37")),
        ((6.5, 5.2, 6.9), False, ("6.5", "5–6.5")),
        ((6.8, 6.5, 6.9), False, ("7", "")),
        ((6.8, 5.6, 6.9), False, ("6.5", "5.5–6.5")),
        ((12.51, 10.47, 15.39), True, ("12.5", "10.4–15.3")),
        ((12.5, None, None), False, ("12.5", "")),
    ],
)
def test_a_latest_minute_is_rounded_down(
    times_min: tuple[float, float | None, float | None], short: bool, said: tuple[str, str]
) -> None:
    """37.8 is no 38 where the crew is to call past it; and the expected minute is never past the latest."""
    at_s, early_s, late_s = (None if one is None else 60 * one for one in times_min)
    assert at_s is not None
    assert step_minutes(at_s, early_s, late_s, short=short) == said
