"""A vent draws resin from when it is first reached until resin stands all along it and it is clamped."""

from ortools.sat.python import cp_model

from optimiser.sequencing.decisions import Decisions
from optimiser.sequencing.zone_problem import ZoneProblem


def vents_draw(model: cp_model.CpModel, problem: ZoneProblem, decisions: Decisions) -> None:
    """since_k <= wet_z <= until_k for every zone z under vent k, where it is used; since_k <= until_k.

    A line that is a vent drains only what is wet within a tick of the first, so it is not counted.
    """
    zones_of, always = (*problem.always_open, *problem.vents), len(problem.always_open)
    for k, (zones, (since, until)) in enumerate(zip(zones_of, decisions.drawing, strict=True)):
        used = (decisions.vents[k - always],) if k >= always else ()
        model.add(since <= until)
        for zone in sorted(zones):
            model.add(since <= decisions.wet[zone]).only_enforce_if(*used)
            model.add(until >= decisions.wet[zone]).only_enforce_if(*used)
