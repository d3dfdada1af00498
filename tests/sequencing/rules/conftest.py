"""One rule alone in a model, with as much of the answer fixed as a test says."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from ortools.sat.python import cp_model

from optimiser.sequencing.decisions import Decisions, decide
from optimiser.sequencing.zone_problem import ZoneProblem

Rule = Callable[[cp_model.CpModel, ZoneProblem, Decisions], None]


class OneRule:
    """Whether one rule lets an answer pass."""

    def problem(self, **rules: Any) -> ZoneProblem:
        """Three lines, two zones side by side with vents, nothing asked for but what the test asks."""
        plain = ZoneProblem(
            arrival=((1, 3), (2, 2), (3, 1)),
            neighbours=({1: 1}, {0: 1}),
            vented=frozenset({0, 1}),
            required=frozenset(),
            forbidden=frozenset(),
            start=frozenset(),
            order=(),
            hands=1,
            action=0,
            horizon=9,
        )
        return replace(plain, **rules)

    def lets_pass(
        self,
        rule: Rule,
        problem: ZoneProblem,
        *,
        opens: dict[int, int] | None = None,
        wet: dict[int, int] | None = None,
        wet_out: int | None = None,
    ) -> bool:
        """Whether an answer remains in which exactly these lines open, at these ticks, and zones are wet so."""
        model = cp_model.CpModel()
        decisions = decide(model, problem)
        rule(model, problem, decisions)
        if opens is not None:
            for line in range(problem.line_count):
                model.add(decisions.used[line] == (line in opens))
                model.add(decisions.opens[line] == opens.get(line, 0))
                model.add(decisions.at_start[line] == (opens.get(line) == 0))
        for zone, tick in (wet or {}).items():
            model.add(decisions.wet[zone] == tick)
        if wet_out is not None:
            model.add(decisions.wet_out == wet_out)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        return solver.solve(model) == cp_model.OPTIMAL


@pytest.fixture
def one_rule() -> OneRule:
    return OneRule()
