"""The check of a choice against a referee of its own, on right and on wrong choices."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from optimiser.sequencing.verify import violations
from optimiser.sequencing.zone_problem import Choice, ZoneProblem

GRAPHS = 200
CHOICES = 60
"""Drawn for each graph: some of them keep all rules, most do not."""


def drawn_openings(graphs: Any, problem: ZoneProblem, seed: int) -> np.ndarray:
    """Choices by chance among all, and a few that keep the rules where there are any: those are rare."""
    random = np.random.default_rng(seed)
    every = graphs.referee.every_opening(problem)
    kept = every[graphs.referee.admissible(problem, every)]
    drawn = every[random.integers(len(every), size=CHOICES)]
    return np.concatenate([drawn, kept[random.integers(len(kept), size=10)] if len(kept) else kept])


def test_a_choice_is_refused_exactly_when_the_referee_refuses_it(graphs: Any) -> None:
    """On 200 graphs, about sixty choices each: no violation where all rules are kept, at least one elsewhere."""
    verdicts = []
    for seed in range(GRAPHS):
        problem = graphs.random_problem(seed)
        openings = drawn_openings(graphs, problem, seed)
        for row, kept in zip(openings.tolist(), graphs.referee.admissible(problem, openings), strict=True):
            opens = tuple(None if tick < 0 else tick for tick in row)
            assert (violations(problem, graphs.choice(problem, opens)) == []) is bool(kept), (seed, opens)
            verdicts.append(bool(kept))
    assert 0.05 < np.mean(verdicts) < 0.5


def kept_choice(graphs: Any) -> tuple[ZoneProblem, Choice]:
    """Two lines along a strip of three zones with a vent at its end: line 0 from the start, line 1 after it."""
    problem = ZoneProblem(
        arrival=((1, 2, 4), (-1, 1, 2)),
        neighbours=({1: 1}, {0: 1, 2: 1}, {1: 1}),
        vented=frozenset({2}),
        required=frozenset(),
        forbidden=frozenset(),
        start=frozenset(),
        order=(),
        hands=1,
        action=1,
        horizon=8,
    )
    return problem, graphs.choice(problem, (0, 1))


def test_a_choice_that_keeps_all_rules_has_no_violation(graphs: Any) -> None:
    """The strip filled from one end to the vent at the other."""
    assert violations(*kept_choice(graphs)) == []


@pytest.mark.parametrize(
    ("damage", "told"),
    [
        ({"wet": (1, 2, 4)}, "the stated times of the zones are not those of the lines"),
        ({"wet_out": 2}, "the stated wet-out is before the last zone is wet"),
        ({"wet_out": None}, "the stated wet-out is before the last zone is wet"),
        ({"supplied": 6}, "the stated wet-out is before the supply can have filled the part"),
    ],
)
def test_a_choice_may_not_misstate_what_follows_from_it(graphs: Any, damage: dict[str, Any], told: str) -> None:
    """Right openings with wrong times are refused too."""
    problem, choice = kept_choice(graphs)
    supplied = damage.get("supplied", 0)
    stated = {name: value for name, value in damage.items() if name != "supplied"}
    assert violations(replace(problem, supplied=supplied), replace(choice, **stated)) == [told]


@pytest.mark.parametrize(
    ("rules", "opens", "told"),
    [
        ({}, (None, None), "no line opens"),
        ({}, (None, 0), "zone 0 is never wet"),
        ({}, (1, None), "nothing opens at the start"),
        ({"required": frozenset({1})}, (0, None), "required line 1 does not open"),
        ({"forbidden": frozenset({1})}, (0, 1), "forbidden line 1 opens"),
        ({"start": frozenset({0})}, (0, 0), "the lines at the start are not the given ones"),
        ({"order": (1, 0)}, (0, 1), "line 1 opens after line 0, against the given order"),
        ({"action": 2}, (0, 1), "a tap is turned before the shot"),
        ({"vented": frozenset({0})}, (0, 1), "zone 2 does not drain"),
        ({"horizon": 2}, (0, 1), "wet-out is beyond the horizon"),
    ],
)
def test_each_broken_rule_is_named(
    graphs: Any, rules: dict[str, Any], opens: tuple[int | None, ...], told: str
) -> None:
    """The rule that is broken stands among the violations, with its line or zone."""
    problem = replace(kept_choice(graphs)[0], **rules)
    assert told in violations(problem, graphs.choice(problem, opens))
