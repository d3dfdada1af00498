"""The smallest size of a change that does it, found with few tries."""

from __future__ import annotations

from typing import Any

import pytest

from optimiser.case.remedies.ladder import Ladder, climb

SIZES = 26


def tried(does: set[int], *, first: int, best: int) -> list[int]:
    """Which were tried, in their order, where these do it."""
    rungs: Any = tuple(range(SIZES))
    asked: list[int] = []

    def ask(place: int) -> bool:
        asked.append(place)
        return place in does

    climb(Ladder(rungs=rungs, first=first, best=best), ask)
    return asked


@pytest.mark.parametrize("least", range(SIZES))
def test_the_smallest_is_found_wherever_it_is(least: int) -> None:
    """Warmth that does it from some degree on: that one is tried, and the one below it; none twice, and no more tries
    than halving takes beyond the two ends (25 sizes: 5)."""
    asked = tried(set(range(least, SIZES)), first=0, best=SIZES - 1)
    assert least in asked
    assert least == 0 or least - 1 in asked
    assert len(set(asked)) == len(asked) <= 2 + 5


def test_where_the_best_does_not_do_it_nothing_between_is_tried() -> None:
    """Two tries, and no more."""
    assert tried(set(), first=3, best=9) == [3, 9]
    assert tried(set(), first=9, best=9) == [9]


def test_a_smaller_one_than_thought_is_found() -> None:
    """What is known beforehand is on the safe side: from it downward, step by step, until one does not."""
    assert tried({4, 5, 6, 7}, first=6, best=9) == [6, 5, 4, 3]
