"""What a choice is worth, level by level, on a strip whose numbers can be worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from optimiser.sequencing import solve as solving
from optimiser.sequencing.objective import Level, levels
from optimiser.sequencing.solve import solve
from optimiser.sequencing.worth import overstated, worth
from optimiser.sequencing.zone_problem import Choice, LevelName, ZoneProblem

STRIP = ZoneProblem(
    arrival=((1, 3, 6, 8), (6, 5, 2, 1)),
    neighbours=({1: 1}, {0: 1, 2: 1}, {1: 1, 3: 1}, {2: 1}),
    vented=frozenset({0, 1}),
    always_open=(frozenset({0, 1}),),
    required=frozenset(),
    forbidden=frozenset(),
    start=frozenset(),
    order=(),
    hands=1,
    action=1,
    horizon=12,
)
"""Four zones in a row, a vent on the first two; line 1 pushes towards it, line 0 wets them early."""


def test_the_worth_of_two_lines_is_what_a_pencil_finds() -> None:
    """Lines 1 at 0 and 0 at 4: wet at 5, 5, 2, 1. Zone 3 has 1 tick until its neighbour is wet, zone 2 has 3."""
    found = worth(STRIP, {1: 0, 0: 4}, (5, 5, 2, 1), (), 5)
    assert found == {
        LevelName.WET_OUT: 5,
        LevelName.MARGIN: 1,
        LevelName.TAPS: 2,
        LevelName.VENTS: 0,
        LevelName.DRAWN: 0,
        LevelName.EARLY: 4,
    }


def test_of_equally_fast_ways_the_one_with_more_margin_is_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    """Zone 2 is wet 1 tick before the vent's zone by line 0, 3 ticks by line 1, which is a tap more; without the level
    of margin it is left shut."""

    def without_margin(decisions: Any) -> tuple[Level, ...]:
        return tuple(level for level in levels(decisions) if level.name is not LevelName.MARGIN)

    problem = replace(
        STRIP,
        arrival=((6, 5, 4, 1), (9, 9, 2, 9)),
        neighbours=({1: 1}, {0: 1, 2: 1}, {1: 1}, {}),
        vented=frozenset({0, 1, 3}),
    )
    assert solve(problem, seed=1, effort=5).opens == (0, 0)
    monkeypatch.setattr(solving, "levels", without_margin)
    assert solve(problem, seed=1, effort=5).opens == (0, None)


@pytest.mark.parametrize(
    ("name", "said"), [(LevelName.MARGIN, 2), (LevelName.TAPS, 1), (LevelName.WET_OUT, 4), (LevelName.EARLY, 3)]
)
def test_a_choice_that_says_it_is_better_than_it_is_is_noticed(name: LevelName, said: int) -> None:
    """Each level by itself; what it is worth is no overstatement."""
    true = worth(STRIP, {1: 0, 0: 4}, (5, 5, 2, 1), (), 5)
    told = {**true, name: said}
    for values, wrong in ((true, []), (told, [name])):
        choice = Choice(
            outcome=solve(STRIP, seed=1, effort=1).outcome,
            opens=(4, 0),
            wet=(5, 5, 2, 1),
            wet_out=5,
            levels=tuple((each, value, None) for each, value in values.items()),
        )
        assert overstated(STRIP, choice) == wrong
