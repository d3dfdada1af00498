"""Downstream of every region there is an open vent."""

from ortools.sat.python import cp_model

from optimiser.sequencing.decisions import Decisions
from optimiser.sequencing.zone_problem import ZoneProblem


def every_zone_drains(model: cp_model.CpModel, problem: ZoneProblem, decisions: Decisions) -> None:
    """A zone without a vent that is used has a neighbour with wet_y >= wet_z + margin_zy, every margin at least 1.

    Times rise strictly along such a chain, so it cannot close on itself and ends at a zone with a vent.

    A line that is a vent drains a zone beside it where it opens no sooner than that is wet, opens_l >= wet_z, and where
    resin has not reached it from another side before: wet_z <= wet_y + 1 for every zone y beside it.

    By the way that a zone drains it has margin left: margin <= wet_y - wet_z, or opens_l - wet_z; margin <= wet_out.
    """
    by_zone: dict[int, list[cp_model.IntVar]] = {
        zone: [] for zone in range(problem.zone_count) if zone not in problem.vented
    }
    for (zone, neighbour), drains in decisions.drains.items():
        model.add(
            decisions.wet[neighbour] >= decisions.wet[zone] + problem.neighbours[zone][neighbour]
        ).only_enforce_if(drains)
        model.add(decisions.wet[neighbour] - decisions.wet[zone] >= decisions.margin).only_enforce_if(drains)
        by_zone[zone].append(drains)
    for zones, used in zip(problem.vents, decisions.vents, strict=True):
        for zone in zones - problem.vented:
            by_zone[zone].append(used)
    for line, zones in problem.line_vents:
        for zone in zones - problem.vented:
            by_zone[zone].append(_drains_into_line(model, decisions, zone, line, zones))
    model.add(decisions.margin <= decisions.wet_out)
    for ways in by_zone.values():
        model.add_bool_or(ways)


def _drains_into_line(
    model: cp_model.CpModel, decisions: Decisions, zone: int, line: int, beside: frozenset[int]
) -> cp_model.IntVar:
    drains = model.new_bool_var(f"{zone} drains into line {line}")
    shut = (drains, decisions.used[line])
    model.add(decisions.opens[line] >= decisions.wet[zone] + decisions.margin).only_enforce_if(*shut)
    for other in sorted(beside):
        model.add(decisions.wet[zone] <= decisions.wet[other] + 1).only_enforce_if(drains)
    return drains
