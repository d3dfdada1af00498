"""Read the solver's answer back into plain numbers."""

from __future__ import annotations

from ortools.sat.python import cp_model

from optimiser.sequencing.decisions import Decisions
from optimiser.sequencing.objective import Level
from optimiser.sequencing.zone_problem import Choice, Outcome, ZoneProblem


def read(
    problem: ZoneProblem,
    decisions: Decisions,
    solver: cp_model.CpSolver,
    outcome: Outcome,
    levels: tuple[Level, ...],
    bounds: tuple[int, ...],
) -> Choice:
    """levels: all; bounds: of those settled so far."""
    still_open = (None,) * (len(levels) - len(bounds))
    return Choice(
        outcome=outcome,
        opens=tuple(
            int(solver.value(decisions.opens[line])) if solver.value(decisions.used[line]) else None
            for line in range(problem.line_count)
        ),
        wet=tuple(int(solver.value(wet)) for wet in decisions.wet),
        wet_out=int(solver.value(decisions.wet_out)),
        levels=tuple(
            (level.name, int(solver.value(level.value)), bound)
            for level, bound in zip(levels, (*bounds, *still_open), strict=True)
        ),
        vents=tuple(bool(solver.value(used)) for used in decisions.vents),
    )
