"""The same problem and seed give the same choice, whoever asks, and a hint changes only the work."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from optimiser.sequencing.solve import solve
from optimiser.sequencing.zone_problem import Outcome

SEEDS = range(40)
ASK = """
import sys
sys.path.insert(0, sys.argv[1])
from conftest import Graphs
from optimiser.sequencing.solve import solve
for seed in range(40):
    print(repr(solve(Graphs.random_problem(seed), seed=7, effort=20.0)))
"""


def answers_of_a_fresh_process(hash_seed: str) -> str:
    """What another interpreter, with another order of its sets of texts, answers to the same problems."""
    here = Path(__file__).parent
    return subprocess.run(
        [sys.executable, "-c", ASK, str(here)],
        env={**os.environ, "PYTHONHASHSEED": hash_seed, "PYTHONPATH": str(here.parents[1])},
        capture_output=True,
        text=True,
        check=True,
    ).stdout


def test_fresh_processes_give_the_identical_choice(graphs: Any) -> None:
    """Two new interpreters and this one answer forty problems alike, to the last opening time."""
    here = "".join(f"{solve(graphs.random_problem(seed), seed=7, effort=20.0)!r}\n" for seed in SEEDS)
    assert answers_of_a_fresh_process("1") == answers_of_a_fresh_process("2") == here


@pytest.mark.parametrize("hint", [{0: 0}, {0: 0, 1: 3}, {0: 99}, {1: 1}], ids=str)
def test_a_hint_changes_nothing_but_the_work(graphs: Any, hint: dict[int, int]) -> None:
    """Right, wrong or senseless: outcome, levels and proven bounds are those without a hint."""
    for seed in SEEDS:
        problem = graphs.random_problem(seed)
        without, with_hint = (solve(problem, seed=7, effort=20.0, hint=one) for one in (None, hint))
        assert (with_hint.outcome, with_hint.levels) == (without.outcome, without.levels), seed


def test_a_zone_that_no_line_reaches_is_infeasible_at_once(graphs: Any) -> None:
    """Nothing is searched for: there is no sequence that wets it."""
    problem = next(
        problem
        for problem in map(graphs.random_problem, range(500))
        if any(all(row[zone] < 0 for row in problem.arrival) for zone in range(problem.zone_count))
    )
    choice = solve(problem, seed=1, effort=0.0)
    assert (choice.outcome, choice.opens, choice.found) == (Outcome.INFEASIBLE, (), False)
