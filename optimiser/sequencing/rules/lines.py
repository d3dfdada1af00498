"""Which lines may, must and may not open, which are first, which open together, and which by when."""

from itertools import combinations

from ortools.sat.python import cp_model

from optimiser.sequencing.asked import GROUPS_FIELD, LATEST_FIELD, ORDER_FIELD, START_FIELD
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


def lines_together(model: cp_model.CpModel, problem: ZoneProblem, decisions: Decisions) -> None:
    """used and at_start are equal in a group; |opens_a - opens_b| <= what hands need, where they are used."""
    for place, (group, within) in enumerate(problem.together):
        asked = decisions.asked.by(f"{GROUPS_FIELD}/{place}")
        for one, other in combinations(sorted(group), 2):
            model.add(decisions.used[one] == decisions.used[other]).only_enforce_if(*asked)
            model.add(decisions.at_start[one] == decisions.at_start[other]).only_enforce_if(*asked)
            model.add(decisions.opens[one] - decisions.opens[other] <= within).only_enforce_if(*asked)
            model.add(decisions.opens[other] - decisions.opens[one] <= within).only_enforce_if(*asked)


def lines_in_time(model: cp_model.CpModel, problem: ZoneProblem, decisions: Decisions) -> None:
    """opens_l <= latest_l; a line that stays shut has opens_l = 0."""
    for place, (line, tick) in enumerate(problem.latest):
        model.add(decisions.opens[line] <= tick).only_enforce_if(*decisions.asked.by(f"{LATEST_FIELD}/{place}"))
