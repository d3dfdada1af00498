"""Demands in conflict against every set of demands, each tried with every way to open the lines."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import combinations
from typing import Any

import pytest

from optimiser.sequencing.asked import GEL_FIELD, HANDS_FIELD, ORDER_FIELD, START_FIELD
from optimiser.sequencing.conflict import Demands, find_conflict, smallest_set
from optimiser.sequencing.zone_problem import ZoneProblem

EFFORT = 20.0
GRAPHS = 60


def problem_of(graphs: Any, seed: int) -> ZoneProblem:
    """Vents on all zones but one and nothing learnt, so that demands and not the graph are mostly to blame."""
    problem: ZoneProblem = graphs.random_problem(seed)
    vented = frozenset(range(problem.zone_count)) - {seed % problem.zone_count}
    start = problem.start or frozenset({0, 1})
    return replace(problem, vented=vented, waits=(), start=start, limit=problem.limit or problem.horizon - 2)


def asked_of(problem: ZoneProblem) -> set[str]:
    """Fields that ask for something."""
    fields = {START_FIELD} if problem.start else set()
    fields |= {ORDER_FIELD} if len(problem.order) > 1 else set()
    fields |= {HANDS_FIELD} if problem.action or problem.walks else set()
    fields |= {GEL_FIELD} if problem.limit is not None else set()
    for name, rows in (("never_at_once", problem.apart), ("together", problem.together), ("latest", problem.latest)):
        fields |= {f"/rules/{name}/{place}" for place in range(len(rows))}
    return fields | {problem.use_field(line) for line in problem.required | problem.forbidden}


def with_only(problem: ZoneProblem, kept: frozenset[str]) -> ZoneProblem:
    def of(lines: frozenset[int]) -> frozenset[int]:
        return frozenset(line for line in lines if problem.use_field(line) in kept)

    def rows(name: str, all_rows: tuple[Any, ...]) -> tuple[Any, ...]:
        return tuple(row for place, row in enumerate(all_rows) if f"/rules/{name}/{place}" in kept)

    return replace(
        problem,
        start=problem.start if START_FIELD in kept else frozenset(),
        order=problem.order if ORDER_FIELD in kept else (),
        hands=problem.hands if HANDS_FIELD in kept else problem.line_count,
        limit=problem.limit if GEL_FIELD in kept else None,
        required=of(problem.required),
        forbidden=of(problem.forbidden),
        apart=rows("never_at_once", problem.apart),
        together=rows("together", problem.together),
        latest=rows("latest", problem.latest),
    )


def can_be_kept(graphs: Any, problem: ZoneProblem, kept: frozenset[str]) -> bool:
    """Also where a pair hands over that nobody asks to: a line may be closed at any time."""
    pairs = {f"/rules/never_at_once/{place}" for place in range(len(problem.apart))} - kept
    more = [some for count in range(len(pairs) + 1) for some in sets_of(pairs, count)]
    return any(graphs.referee.best(with_only(problem, kept | some)) is not None for some in more)


def sets_of(fields: set[str], count: int) -> list[frozenset[str]]:
    return [frozenset(some) for some in combinations(sorted(fields), count)]


@pytest.mark.parametrize("first", range(0, GRAPHS, 20))
def test_the_set_in_conflict_is_the_smallest(graphs: Any, first: int) -> None:
    """Impossible by enumeration, and no set with fewer fields is; without what is left out the rest is possible."""
    for seed in range(first, first + 20):
        problem = problem_of(graphs, seed)
        fields = asked_of(problem)
        found = find_conflict(problem, seed=1, effort=EFFORT)
        if found is None:
            no_rule = fields <= {GEL_FIELD, HANDS_FIELD}
            assert no_rule or can_be_kept(graphs, problem, frozenset(fields)), seed
            continue
        conflict = frozenset(found.fields)
        assert found.smallest, seed
        assert not can_be_kept(graphs, problem, conflict), seed
        for count in range(len(conflict)):
            assert all(can_be_kept(graphs, problem, some) for some in sets_of(fields, count)), seed
        for left_out in found.left_out:
            assert can_be_kept(graphs, problem, frozenset(fields) - frozenset(left_out)), seed
        for field in conflict:
            alone = can_be_kept(graphs, problem, frozenset(fields) - {field})
            assert alone == ((field,) in found.left_out), seed


def test_the_graphs_hold_conflicts_of_several_fields(graphs: Any) -> None:
    """Else the smallest set would be proven on sets of one."""
    found = [find_conflict(problem_of(graphs, seed), seed=1, effort=EFFORT) for seed in range(GRAPHS)]
    sizes = [len(one.fields) for one in found if one is not None]
    assert sizes.count(2) >= 3
    assert sizes.count(0) >= 1


class Undecided(Demands):
    """Demands in known conflicts, with sets that the solver does not decide; its cores have all that was assumed."""

    def __init__(self, fields: str, conflicts: list[str], undecided: list[str]) -> None:
        self.fields = frozenset(fields)
        self._conflicts = [frozenset(one) for one in conflicts]
        self._undecided = [frozenset(one) for one in undecided]

    def core(self, kept: Iterable[str]) -> frozenset[str] | None:
        some = frozenset(kept)
        return some if some not in self._undecided and any(one <= some for one in self._conflicts) else None

    def most_kept(self, kept: Iterable[str]) -> frozenset[str] | None:
        some = frozenset(kept)
        if some in self._undecided:
            return None
        ways = [one | some for count in range(len(self.fields)) for one in sets_of(set(self.fields - some), count)]
        ways = [one for one in ways if not any(conflict <= one for conflict in self._conflicts)]
        return max(ways, key=len, default=None)


@pytest.mark.parametrize(
    ("undecided", "found", "smallest"),
    [([], "ab", True), ([""], "ab", False), (["", "a", "b"], "ab", False), (["ab", "abc"], "cde", False)],
)
def test_a_set_that_is_not_decided_is_passed_over_for_the_next(
    undecided: list[str], found: str, smallest: bool
) -> None:
    """Taking fields out of all in conflict alone ends at three, c, d and e, though a and b are enough."""
    demands = Undecided("abcde", ["ab", "cde"], undecided)
    fields, proven, _ = smallest_set(demands, demands.fields)
    assert (fields, proven) == (frozenset(found), smallest)
    assert all(demands.core(fields - {field}) is None for field in fields)


def test_little_effort_claims_nothing(graphs: Any) -> None:
    """A solver that may not work has proven neither a conflict nor a smallest one."""
    for seed in range(GRAPHS):
        found = find_conflict(problem_of(graphs, seed), seed=1, effort=1e-9)
        assert found is None or not can_be_kept(graphs, problem_of(graphs, seed), frozenset(found.fields)), seed
