"""What the network taught: a line that closed round a region waits for it."""

from ortools.sat.python import cp_model

from optimiser.sequencing.decisions import Decisions
from optimiser.sequencing.zone_problem import ZoneProblem


def learnt_waits(model: cp_model.CpModel, problem: ZoneProblem, decisions: Decisions) -> None:
    """opens_l >= min(wet_z, enough) for each cut, where the lines at the start are those it was learnt with."""
    for number, cut in enumerate(problem.waits):
        same = model.new_bool_var(f"same start {number}")
        differs = [~var if line in cut.start else var for line, var in enumerate(decisions.at_start)]
        model.add_bool_or(same, *differs)
        holds = [same, decisions.used[cut.line]]
        if cut.enough is not None:
            early = model.new_bool_var(f"earlier than shown {number}")
            model.add(decisions.opens[cut.line] >= cut.enough).only_enforce_if(~early)
            holds.append(early)
        model.add(decisions.opens[cut.line] >= decisions.wet[cut.zone]).only_enforce_if(holds)
