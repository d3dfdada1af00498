"""Check a choice against the rules, from the problem's numbers alone: no solver, no model."""

from __future__ import annotations

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
    if max(times) > problem.horizon:
        found.append("wet-out is beyond the horizon")
    if problem.limit is not None and max(times) > problem.limit:
        found.append("wet-out is after the limit")
    for zone in range(problem.zone_count):
        if zone not in problem.vented and not any(
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


def zone_times(problem: ZoneProblem, opened: dict[int, int]) -> list[int | None]:
    """When each zone is wet by the first of the opened lines; None: never."""
    out: list[int | None] = []
    for zone in range(problem.zone_count):
        arrivals = [
            tick + problem.arrival[line][zone] for line, tick in opened.items() if problem.arrival[line][zone] != NEVER
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
    spans = sorted((tick - problem.action, tick) for tick in opened.values() if tick > 0)
    for begins, _ in spans:
        if problem.action and sum(b <= begins < e for b, e in spans) > problem.hands:
            found.append(f"more taps than hands at tick {begins}")
    if any(begins < 0 for begins, _ in spans):
        found.append("a tap is turned before the shot")
    return found
