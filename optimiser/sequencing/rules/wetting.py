"""A zone is wet when the first of the used lines has wet it."""

from ortools.sat.python import cp_model

from optimiser.sequencing.decisions import Decisions
from optimiser.sequencing.zone_problem import ZoneProblem


def zones_wet_by_first_line(model: cp_model.CpModel, problem: ZoneProblem, decisions: Decisions) -> None:
    """wet_z = min over used lines of (opens_l + arrival_lz), of a line that is shut again only up to closes_l.

    opens_l + arrival_lz >= wet_z for every used line, with equality for the one line that wets it.
    """
    by_zone: list[list[cp_model.IntVar]] = [[] for _ in range(problem.zone_count)]
    for (line, zone), first in decisions.wets.items():
        arrives = decisions.opens[line] + problem.arrival[line][zone]
        feeds = [decisions.used[line]]
        if line in decisions.closes:
            in_time, closes = decisions.in_time[line, zone], decisions.closes[line]
            model.add(arrives <= closes).only_enforce_if(in_time)
            model.add(arrives > closes).only_enforce_if(~in_time)
            model.add_implication(first, in_time)
            feeds.append(in_time)
        model.add(decisions.wet[zone] <= arrives).only_enforce_if(feeds)
        model.add(decisions.wet[zone] == arrives).only_enforce_if(first)
        model.add_implication(first, decisions.used[line])
        by_zone[zone].append(first)
    for firsts in by_zone:
        model.add_exactly_one(firsts)
    for wet in decisions.wet:
        model.add(decisions.wet_out >= wet)
