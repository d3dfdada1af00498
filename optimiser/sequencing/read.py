"""Read the solver's answer back into plain numbers."""

from __future__ import annotations

from ortools.sat.python import cp_model

from optimiser.sequencing.decisions import Decisions
from optimiser.sequencing.zone_problem import Choice, Outcome, ZoneProblem


def read(
    problem: ZoneProblem,
    decisions: Decisions,
    solver: cp_model.CpSolver,
    outcome: Outcome,
    settled: tuple[tuple[str, int, int], ...],
) -> Choice:
    return Choice(
        outcome=outcome,
        opens=tuple(
            int(solver.value(decisions.opens[line])) if solver.value(decisions.used[line]) else None
            for line in range(problem.line_count)
        ),
        wet=tuple(int(solver.value(wet)) for wet in decisions.wet),
        wet_out=int(solver.value(decisions.wet_out)),
        levels=settled,
        vents=tuple(bool(solver.value(used)) for used in decisions.vents),
    )
