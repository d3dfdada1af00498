"""Downstream of every region there is an open vent."""

from ortools.sat.python import cp_model

from optimiser.sequencing.decisions import Decisions
from optimiser.sequencing.zone_problem import ZoneProblem


def every_zone_drains(model: cp_model.CpModel, problem: ZoneProblem, decisions: Decisions) -> None:
    """A zone without a vent that is used has a neighbour with wet_y >= wet_z + margin_zy, every margin at least 1.

    Times rise strictly along such a chain, so it cannot close on itself and ends at a zone with a vent.
    """
    by_zone: dict[int, list[cp_model.IntVar]] = {
        zone: [] for zone in range(problem.zone_count) if zone not in problem.vented
    }
    for (zone, neighbour), drains in decisions.drains.items():
        model.add(
            decisions.wet[neighbour] >= decisions.wet[zone] + problem.neighbours[zone][neighbour]
        ).only_enforce_if(drains)
        by_zone[zone].append(drains)
    for zones, used in zip(problem.vents, decisions.vents, strict=True):
        for zone in zones - problem.vented:
            by_zone[zone].append(used)
    for ways in by_zone.values():
        model.add_bool_or(ways)
