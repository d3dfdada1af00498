"""Check a choice against the rules, from the problem's numbers alone: no solver, no model."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from itertools import combinations

from optimiser.sequencing.zone_problem import NEVER, Choice, ZoneProblem


def violations(problem: ZoneProblem, choice: Choice) -> list[str]:
    """Every rule that the choice breaks, in words; empty: it keeps them all."""
    opened = {line: tick for line, tick in enumerate(choice.opens) if tick is not None}
    found = _of_lines(problem, opened)
    if not opened:
        return [*found, "no line opens"]
    wet = zone_times(problem, opened)
    if None in wet:
        return [*found, f"zone {wet.index(None)} is never wet"]
    times = [tick for tick in wet if tick is not None]
    if tuple(times) != choice.wet:
        found.append("the stated times of the zones are not those of the lines")
    if choice.wet_out is None or choice.wet_out < max(times):
        found.append("the stated wet-out is before the last zone is wet")
    elif choice.wet_out < problem.supplied <= problem.horizon:
        found.append("the stated wet-out is before the supply can have filled the part")
    if max(times) > problem.horizon:
        found.append("wet-out is beyond the horizon")
    if problem.limit is not None and max(*times, min(problem.supplied, problem.horizon)) > problem.limit:
        found.append("wet-out is after the limit")
    vented = open_vents(problem, opened, times, choice.vents)
    for zone in range(problem.zone_count):
        if zone not in vented and not any(
            times[other] >= times[zone] + later for other, later in problem.neighbours[zone].items()
        ):
            found.append(f"zone {zone} does not drain")
    starting = frozenset(line for line, tick in opened.items() if tick == 0)
    found += [
        f"line {cut.line} does not wait for zone {cut.zone}"
        for cut in problem.waits
        if cut.start == starting
        and cut.line in opened
        and opened[cut.line] < times[cut.zone]
        and (cut.enough is None or opened[cut.line] < cut.enough)
    ]
    return found


def open_vents(
    problem: ZoneProblem, opened: Mapping[int, int], times: Sequence[int], used: Sequence[bool] = ()
) -> frozenset[int]:
    """Zones that have a vent when they are wet, or a line that still is one."""
    return problem.vented_by(used).union(
        zone
        for line, zones in problem.line_vents
        for zone in zones
        if opened.get(line, math.inf) >= times[zone] and times[zone] <= min(times[other] for other in zones) + 1
    )


def zone_times(problem: ZoneProblem, opened: Mapping[int, int]) -> list[int | None]:
    """When each zone is wet by the first of the opened lines, each as long as it is open; None: never."""
    shut = problem.closings(opened)
    out: list[int | None] = []
    for zone in range(problem.zone_count):
        arrivals = [
            tick + problem.arrival[line][zone]
            for line, tick in opened.items()
            if problem.arrival[line][zone] != NEVER
            and tick + problem.arrival[line][zone] <= shut.get(line, math.inf)
        ]
        out.append(min(arrivals, default=None))
    return out


def _of_lines(problem: ZoneProblem, opened: dict[int, int]) -> list[str]:
    found = [f"required line {line} does not open" for line in sorted(problem.required - opened.keys())]
    found += [f"forbidden line {line} opens" for line in sorted(problem.forbidden & opened.keys())]
    starting = {line for line, tick in opened.items() if tick == 0}
    if not starting:
        found.append("nothing opens at the start")
    if problem.start and starting != problem.start:
        found.append("the lines at the start are not the given ones")
    for before, after in combinations(problem.order, 2):
        if before in opened and after in opened and opened[before] > opened[after]:
            found.append(f"line {before} opens after line {after}, against the given order")
    found += _of_groups(problem, opened)
    found += _of_hands(problem, opened)
    return found


def _of_groups(problem: ZoneProblem, opened: Mapping[int, int]) -> Iterable[str]:
    for one, other in problem.apart:
        if one in opened and opened[one] == opened.get(other):
            yield f"lines {one} and {other} open at the same time"
    for line, shut in problem.closings(opened).items():
        if shut < opened[line] + max(problem.action, 1):
            yield f"line {line} is shut before it has been opened"
    for group, within in problem.together:
        ticks = sorted(opened[line] for line in group if line in opened)
        if ticks and (len(ticks) < len(group) or ticks[-1] - ticks[0] > within or ticks[0] == 0 < ticks[-1]):
            yield f"lines {', '.join(map(str, sorted(group)))} do not open together"
    for line, tick in problem.latest:
        if opened.get(line, 0) > tick:
            yield f"line {line} opens after tick {tick}"


def _of_hands(problem: ZoneProblem, opened: Mapping[int, int]) -> Iterable[str]:
    turns = [(tick, line) for line, tick in opened.items() if tick > 0]
    turns += [(tick, line) for line, tick in problem.closings(opened).items()]
    spans = sorted((tick - problem.action, tick) for tick, _ in turns)
    for begins, _ in spans:
        if problem.action and sum(b <= begins < e for b, e in spans) > problem.hands:
            yield f"more taps than hands at tick {begins}"
    if any(begins < 0 for begins, _ in spans):
        yield "a tap is turned before the shot"
    if problem.walks and not _walked_in_time(problem, turns):
        yield "more taps than the crew can walk to"


def _walked_in_time(problem: ZoneProblem, turns: list[tuple[int, int]]) -> bool:
    """Whether the crew can turn these taps, (tick at which it has been turned, line), walking between them.

    Everybody goes on in order of time; all ways to share the turns are tried, kept as who turned which last.
    """
    crews: set[tuple[tuple[int, int], ...]] = {()}
    for turn in sorted(turns):
        reached = set()
        for crew in crews:
            if len(crew) < problem.hands:
                reached.add(tuple(sorted((*crew, turn))))
            for who, (tick, line) in enumerate(crew):
                if tick + problem.walking(line, turn[1]) <= turn[0] - problem.action:
                    reached.add(tuple(sorted((*crew[:who], *crew[who + 1 :], turn))))
        crews = reached
    return bool(crews)
