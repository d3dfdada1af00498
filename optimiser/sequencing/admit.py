"""The graph must not refuse what the network has shown to be clean."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from optimiser.sequencing.verify import open_vents, zone_times
from optimiser.sequencing.zone_problem import ZoneProblem


def admitting(problem: ZoneProblem, opened: Mapping[int, int]) -> ZoneProblem:
    """The problem with drain margins lowered, where these opening times need it, to what they leave.

    A zone that under these times drains into no neighbour by the full margin may drain into the latest of them by
    what there is; one that is wet after all its neighbours counts as drained. A line that was told to wait need not
    wait longer than it did here. The network judges what comes of it.
    """
    wet = zone_times(problem, dict(opened))
    if not opened or None in wet:
        return problem
    times = [tick for tick in wet if tick is not None]
    neighbours, drained = list(problem.neighbours), set(problem.vented)
    vented = open_vents(problem, opened, times)
    for zone, margins in enumerate(problem.neighbours):
        if zone in vented or any(times[y] >= times[zone] + later for y, later in margins.items()):
            continue
        latest = max(margins, key=lambda y: (times[y], -y), default=zone)
        if times[latest] > times[zone]:
            neighbours[zone] = {**margins, latest: times[latest] - times[zone]}
        else:
            drained.add(zone)
    start = frozenset(line for line, tick in opened.items() if tick == 0)
    waits = tuple(
        replace(cut, enough=_sooner(cut.enough, opened[cut.line]))
        if cut.start == start and cut.line in opened
        else cut
        for cut in problem.waits
    )
    return replace(problem, neighbours=tuple(neighbours), vented=frozenset(drained), waits=waits)


def _sooner(enough: int | None, shown: int) -> int:
    return shown if enough is None else min(enough, shown)
