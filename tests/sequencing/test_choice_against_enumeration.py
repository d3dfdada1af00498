"""The solver's choice against every way to open the lines, tried one by one on graphs small enough for it."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from optimiser.sequencing import build
from optimiser.sequencing.solve import solve
from optimiser.sequencing.verify import violations
from optimiser.sequencing.worth import overstated
from optimiser.sequencing.zone_problem import Choice, Outcome, ZoneProblem

GRAPHS = 200
EFFORT = 20.0
"""Far more than graphs of this size need, so that every answer is proven."""


def chosen_levels(choice: Choice) -> tuple[int, ...] | None:
    return tuple(value for _, value, _ in choice.levels) if choice.found else None


def best_levels(graphs: Any, problem: ZoneProblem) -> tuple[int, ...] | None:
    best = graphs.referee.best(problem)
    if best is None:
        return None
    vents = (best.vents_used,) if problem.vents else ()
    return (best.wet_out, best.margin, best.taps_turned, *vents, best.time_drawn, best.sum_of_openings)


@pytest.mark.parametrize("first", range(0, GRAPHS, 20))
def test_the_choice_is_the_best_of_all_ways(graphs: Any, first: int) -> None:
    """Every level of the objective as by full enumeration, and proven."""
    for seed in range(first, first + 20):
        problem = graphs.random_problem(seed)
        best, choice = best_levels(graphs, problem), solve(problem, seed=1, effort=EFFORT)
        assert chosen_levels(choice) == best, seed
        assert choice.outcome is (Outcome.INFEASIBLE if best is None else Outcome.OPTIMAL), seed
        if best is None:
            continue
        assert all(bound == value for _, value, bound in choice.levels), seed
        opens = np.array([[-1 if tick is None else tick for tick in choice.opens]])
        assert graphs.referee.admissible(problem, opens).all(), seed
        assert graphs.referee.wet(problem, opens)[0].tolist() == list(choice.wet), seed
        assert choice.wet_out == max(*choice.wet, problem.supplied) == best[0], seed
        assert violations(problem, choice) == [], seed
        assert overstated(problem, choice) == [], seed


def test_the_choice_on_a_small_grid_is_the_best_of_all_ways(graphs: Any) -> None:
    """Forty panels of twelve zones with three lines across them; of both answers there are some."""
    answers = []
    for seed in range(40):
        problem = graphs.grid_problem(seed)
        best, choice = best_levels(graphs, problem), solve(problem, seed=1, effort=EFFORT)
        assert chosen_levels(choice) == best, seed
        assert choice.outcome is (Outcome.INFEASIBLE if best is None else Outcome.OPTIMAL), seed
        answers.append(best is not None)
    assert 10 <= sum(answers) <= 30


def test_the_graphs_ask_both_questions(graphs: Any) -> None:
    """Of the graphs above a good share has an answer and a good share has none, else one side would go unproven."""
    answered = sum(best_levels(graphs, graphs.random_problem(seed)) is not None for seed in range(GRAPHS))
    assert GRAPHS / 4 <= answered <= 3 * GRAPHS / 4


@pytest.mark.parametrize("rule", build.RULES, ids=lambda rule: rule.__name__)
def test_a_rule_left_out_of_the_model_is_noticed(graphs: Any, rule: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without any one of the rules the solver and the enumeration fall out: the graphs above try every rule."""
    monkeypatch.setattr(build, "RULES", tuple(one for one in build.RULES if one is not rule))
    assert any(
        chosen_levels(solve(problem, seed=1, effort=EFFORT)) != best_levels(graphs, problem)
        for problem in map(graphs.random_problem, range(GRAPHS))
    )


def test_running_out_of_effort_is_never_called_infeasible(graphs: Any) -> None:
    """With next to no effort: nothing found, or a choice that keeps the rules and is no better than the best."""
    outcomes = set()
    for seed in range(GRAPHS):
        problem = graphs.random_problem(seed)
        best, choice = best_levels(graphs, problem), solve(problem, seed=1, effort=1e-9)
        outcomes.add(choice.outcome)
        if choice.found:
            assert best is not None, seed
            assert violations(problem, choice) == [], seed
            assert (chosen_levels(choice) or ())[0] >= best[0], seed
        assert best is None or choice.outcome is not Outcome.INFEASIBLE, seed
    assert Outcome.NOTHING_FOUND in outcomes
