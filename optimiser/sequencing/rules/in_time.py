"""All is wet before the gel limit, and not before the supply can have filled the part."""

from ortools.sat.python import cp_model

from optimiser.sequencing.asked import GEL_FIELD
from optimiser.sequencing.decisions import Decisions
from optimiser.sequencing.zone_problem import ZoneProblem


def wet_when_supplied(model: cp_model.CpModel, problem: ZoneProblem, decisions: Decisions) -> None:
    """wet_out >= supplied."""
    if problem.supplied:
        model.add(decisions.wet_out >= min(problem.supplied, problem.horizon))


def wet_in_time(model: cp_model.CpModel, problem: ZoneProblem, decisions: Decisions) -> None:
    """wet_out <= limit."""
    if problem.limit is not None:
        model.add(decisions.wet_out <= problem.limit).only_enforce_if(*decisions.asked.by(GEL_FIELD))
