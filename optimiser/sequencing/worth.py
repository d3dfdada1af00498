"""What a choice is worth on the graph, level by level, from the problem's numbers alone: no solver, no model."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

from optimiser.sequencing.verify import open_vents
from optimiser.sequencing.zone_problem import Choice, LevelName, ZoneProblem

_MORE_IS_BETTER = frozenset({LevelName.MARGIN})


def worth(
    problem: ZoneProblem, opened: Mapping[int, int], times: Sequence[int], used: Sequence[bool], wet_out: int
) -> dict[LevelName, int]:
    """opened: line -> tick; times: when each zone is wet; used: which of the vents that may be left clamped are."""
    idle = [k for k in range(len(problem.vents)) if used and not used[k]]
    drawing = (*problem.always_open, *(zones for k, zones in enumerate(problem.vents) if k not in idle))
    return {
        LevelName.WET_OUT: wet_out,
        LevelName.MARGIN: _margin(problem, opened, times, used, wet_out),
        LevelName.TAPS: len(opened) + len(problem.closings(opened)),
        LevelName.VENTS: len(problem.vents) - len(idle),
        LevelName.DRAWN: sum(_spread(times[zone] for zone in zones) for zones in drawing),
        LevelName.EARLY: sum(opened.values()),
    }


def overstated(problem: ZoneProblem, choice: Choice) -> list[LevelName]:
    """Levels at which the choice says that it is better than it is."""
    opened = {line: tick for line, tick in enumerate(choice.opens) if tick is not None}
    true = worth(problem, opened, choice.wet, choice.vents, max(*choice.wet, min(problem.supplied, problem.horizon)))
    return [
        name
        for name, value, _ in choice.levels
        if (value > true[name] if name in _MORE_IS_BETTER else value < true[name])
    ]


def _margin(
    problem: ZoneProblem, opened: Mapping[int, int], times: Sequence[int], used: Sequence[bool], wet_out: int
) -> int:
    vented = problem.vented_by(used)
    drained = open_vents(problem, opened, times, used)
    ways = [
        [
            times[other] - times[zone]
            for other, later in problem.neighbours[zone].items()
            if times[other] >= times[zone] + later
        ]
        + [
            math.inf if line not in opened else opened[line] - times[zone]
            for line, zones in problem.line_vents
            if zone in zones and zone in drained and opened.get(line, math.inf) >= times[zone]
        ]
        for zone in range(problem.zone_count)
        if zone not in vented
    ]
    return int(min([wet_out, *(max(each) for each in ways if each)]))


def _spread(times: Iterable[int]) -> int:
    ordered = sorted(times)
    return ordered[-1] - ordered[0] if ordered else 0
