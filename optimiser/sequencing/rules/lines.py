"""Which lines may, must and may not open, and which are first."""

from itertools import combinations

from ortools.sat.python import cp_model

from optimiser.sequencing.asked import ORDER_FIELD, START_FIELD
from optimiser.sequencing.decisions import Decisions
from optimiser.sequencing.zone_problem import ZoneProblem


def lines_used(model: cp_model.CpModel, problem: ZoneProblem, decisions: Decisions) -> None:
    """used_l = 1 for required lines, 0 for forbidden ones; opens_l = 0 where used_l = 0."""
    for line, used in enumerate(decisions.used):
        if line in problem.required:
            model.add(used == 1).only_enforce_if(*decisions.asked.by(problem.use_field(line)))
        if line in problem.forbidden:
            model.add(used == 0).only_enforce_if(*decisions.asked.by(problem.use_field(line)))
        model.add(decisions.opens[line] == 0).only_enforce_if(~used)


def lines_at_start(model: cp_model.CpModel, problem: ZoneProblem, decisions: Decisions) -> None:
    """at_start_l = (used_l and opens_l = 0); some line opens at 0; with a given start exactly those do."""
    for line, (used, at_start) in enumerate(zip(decisions.used, decisions.at_start, strict=True)):
        model.add_implication(at_start, used)
        model.add(decisions.opens[line] == 0).only_enforce_if(at_start)
        model.add(decisions.opens[line] >= 1).only_enforce_if(used, ~at_start)
        if problem.start:
            model.add(at_start == (line in problem.start)).only_enforce_if(*decisions.asked.by(START_FIELD))
    model.add_bool_or(decisions.at_start)


def lines_in_given_order(model: cp_model.CpModel, problem: ZoneProblem, decisions: Decisions) -> None:
    """opens_a <= opens_b for every a before b in the given order where both are used."""
    for before, after in combinations(problem.order, 2):
        model.add(decisions.opens[before] <= decisions.opens[after]).only_enforce_if(
            decisions.used[before], decisions.used[after], *decisions.asked.by(ORDER_FIELD)
        )
