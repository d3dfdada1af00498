"""Small zone graphs drawn by chance, and a referee of its own that tries every way to open the lines.

The referee shares no code with the product and puts the rules otherwise where it can: it follows resin from each zone
to a vent instead of asking for one later neighbour, counts the busy people tick by tick instead of comparing spans,
compares every two lines of a given order, and gives the taps to people in every way there is.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, product
from typing import NamedTuple

import numpy as np
import pytest
from numpy.typing import NDArray

from optimiser.sequencing.zone_problem import Choice, Outcome, WaitCut, ZoneProblem

Openings = NDArray[np.int64]
"""(ways, lines): the tick at which each line opens; -1: not at all."""
Flags = NDArray[np.bool_]

_SHUT = -1
_DRY = 10**6


class Best(NamedTuple):
    """The objective levels of the best way to open the lines, compared in this order."""

    wet_out: int
    margin: int
    taps_turned: int
    vents_used: int
    time_drawn: int
    sum_of_openings: int


class Referee:
    """Judges many openings at once; every step is a table with one row for each of them."""

    def every_opening(self, problem: ZoneProblem) -> Openings:
        """All ways: each line shut, or opened at any tick up to the horizon."""
        ticks = np.arange(_SHUT, problem.horizon + 1)
        return np.stack(np.meshgrid(*[ticks] * problem.line_count), axis=-1).reshape(-1, problem.line_count)

    def wet(self, problem: ZoneProblem, openings: Openings) -> Openings:
        """(ways, zones): when each zone is wet."""
        arrival = np.array(problem.arrival)
        each = openings[:, :, None] + arrival[None]
        late = each > self.closings(problem, openings)[:, :, None]
        each = np.where((openings[:, :, None] == _SHUT) | (arrival[None] < 0) | late, _DRY, each)
        return np.asarray(each.min(axis=1))

    def closings(self, problem: ZoneProblem, openings: Openings) -> Openings:
        """(ways, lines): when each line is shut for the first line that it must not be open with; else never."""
        closes = np.full(openings.shape, _DRY)
        walks = np.array(problem.walks or np.zeros((problem.line_count, problem.line_count), dtype=int))
        for pair in problem.apart:
            for one, other in (pair, pair[::-1]):
                gap = problem.action + walks[one, other] if problem.hands == 1 else walks.max()
                hands_over = (openings[:, one] != _SHUT) & (openings[:, other] > openings[:, one])
                first = openings[:, other] - gap
                closes[:, one] = np.where(hands_over, np.minimum(closes[:, one], first), closes[:, one])
        return closes

    def admissible(self, problem: ZoneProblem, openings: Openings) -> Flags:
        """With all vents open: one more never does harm on the graph."""
        return self._kept(self._with_vents(problem, problem.vents), openings)

    def _with_vents(self, problem: ZoneProblem, vents: tuple[frozenset[int], ...]) -> ZoneProblem:
        return replace(problem, vented=problem.vented.union(*vents), vents=())

    def _kept(self, problem: ZoneProblem, openings: Openings) -> Flags:
        used, wet = openings != _SHUT, self.wet(problem, openings)
        kept = np.asarray(
            (wet <= (problem.horizon if problem.limit is None else problem.limit)).all(axis=1)
            & (problem.limit is None or problem.supplied <= problem.limit)
            & used[:, sorted(problem.required)].all(axis=1)
            & ~used[:, sorted(problem.forbidden)].any(axis=1)
            & self._starts(problem, openings)
            & self._in_order(problem, openings)
            & self._hands_suffice(problem, openings)
            & self._drains_to_a_vent(problem, openings, wet)
            & self._waits(problem, openings, wet)
            & self._keeps_pairs_groups_and_times(problem, openings)
        )
        if problem.walks:
            closes = self.closings(problem, openings)
            for way in np.flatnonzero(kept).tolist():
                kept[way] = self._walked(problem, openings[way].tolist(), closes[way].tolist())
        return kept

    def best(self, problem: ZoneProblem) -> Best | None:
        """None: no way to open the lines keeps the rules."""
        every = self.every_opening(problem)
        found: list[tuple[int, ...]] = []
        for count in range(len(problem.vents) + 1):
            for vents in combinations(problem.vents, count):
                with_vents = self._with_vents(problem, vents)
                openings = every[self._kept(with_vents, every)]
                wet = self.wet(problem, openings)
                wet_out = np.maximum(wet.max(axis=1), problem.supplied)
                margin = np.minimum(self._closest(with_vents, openings, wet), wet_out)
                turned = (openings != _SHUT).sum(axis=1) + (self.closings(problem, openings) < _DRY).sum(axis=1)
                total = np.where(openings == _SHUT, 0, openings).sum(axis=1)
                used = np.full(len(openings), count)
                drawn = self._drawn((*problem.always_open, *vents), wet)
                found += zip(*(each.tolist() for each in (wet_out, -margin, turned, used, drawn, total)), strict=True)
        if not found:
            return None
        wet_out, less_margin, *rest = min(found)
        return Best(wet_out, -less_margin, *rest)

    def _closest(self, problem: ZoneProblem, openings: Openings, wet: Openings) -> Openings:
        """(ways,): by how much the last of the ways out of a zone without a vent is late, where that is the least."""
        least = np.full(len(wet), _DRY)
        for zone in set(range(problem.zone_count)) - problem.vented:
            best = np.full(len(wet), -1)
            for other, later in problem.neighbours[zone].items():
                gap = wet[:, other] - wet[:, zone]
                best = np.where(gap >= later, np.maximum(best, gap), best)
            for line, zones in problem.line_vents:
                if zone in zones:
                    first = wet[:, zone] - wet[:, sorted(zones)].min(axis=1) <= 1
                    gap = np.where(openings[:, line] == _SHUT, _DRY, openings[:, line] - wet[:, zone])
                    best = np.where(first & (gap >= 0), np.maximum(best, gap), best)
            least = np.minimum(least, best)
        return least

    def _drawn(self, vents: tuple[frozenset[int], ...], wet: Openings) -> Openings:
        """(ways,): how long all the vents draw, from the first to the last of what lies under each."""
        drawn = np.zeros(len(wet), dtype=np.int64)
        for zones in filter(None, vents):
            drawn += np.ptp(wet[:, sorted(zones)], axis=1)
        return drawn

    def _starts(self, problem: ZoneProblem, openings: Openings) -> Flags:
        at_zero = openings == 0
        if not problem.start:
            return np.asarray(at_zero.any(axis=1))
        wanted = np.isin(np.arange(problem.line_count), sorted(problem.start))
        return np.asarray((at_zero == wanted).all(axis=1))

    def _in_order(self, problem: ZoneProblem, openings: Openings) -> Flags:
        kept = np.ones(len(openings), dtype=bool)
        for first, second in combinations(problem.order, 2):
            a, b = openings[:, first], openings[:, second]
            kept &= (a == _SHUT) | (b == _SHUT) | (a <= b)
        return kept

    def _hands_suffice(self, problem: ZoneProblem, openings: Openings) -> Flags:
        turned = np.concatenate([openings, self.closings(problem, openings)], axis=1)
        by_hand = (turned > 0) & (turned < _DRY)
        kept = ~(by_hand & (turned < problem.action)).any(axis=1)
        for tick in range(problem.horizon + 1):
            busy = by_hand & (turned - problem.action <= tick) & (tick < turned)
            kept &= busy.sum(axis=1) <= problem.hands
        return np.asarray(kept)

    def _keeps_pairs_groups_and_times(self, problem: ZoneProblem, openings: Openings) -> Flags:
        closes, used = self.closings(problem, openings), openings != _SHUT
        kept = ~((closes < _DRY) & (closes - openings < max(problem.action, 1))).any(axis=1)
        for one, other in problem.apart:
            kept &= ~(used[:, one] & (openings[:, one] == openings[:, other]))
        for group, within in problem.together:
            those = openings[:, sorted(group)]
            first, last = those.min(axis=1), those.max(axis=1)
            with_start = (first == 0) & (last > 0)
            kept &= (last == _SHUT) | ((first != _SHUT) & (last - first <= within) & ~with_start)
        for line, tick in problem.latest:
            kept &= openings[:, line] <= tick
        return np.asarray(kept)

    def _walked(self, problem: ZoneProblem, opens: list[int], closes: list[int]) -> bool:
        turns = [(tick, line) for line, tick in enumerate(opens) if tick > 0]
        turns += [(tick, line) for line, tick in enumerate(closes) if tick < _DRY]
        for people in product(range(problem.hands), repeat=len(turns)):
            in_time = True
            for (a, (tick, line)), (b, (later, other)) in combinations(zip(people, sorted(turns), strict=True), 2):
                in_time &= a != b or later - problem.action >= tick + problem.walks[line][other]
            if in_time:
                return True
        return False

    def _drains_to_a_vent(self, problem: ZoneProblem, openings: Openings, wet: Openings) -> Flags:
        """Flood back from the vents, up every way on which the next zone is late enough."""
        drained = np.zeros(wet.shape, dtype=bool)
        drained[:, sorted(problem.vented)] = True
        for line, zones in problem.line_vents:
            reached = wet[:, sorted(zones)].min(axis=1)
            for zone in zones:
                still = (openings[:, line] == _SHUT) | (openings[:, line] >= wet[:, zone])
                drained[:, zone] |= still & (wet[:, zone] - reached <= 1)
        for _ in range(problem.zone_count):
            for zone, neighbours in enumerate(problem.neighbours):
                for other, later in neighbours.items():
                    drained[:, zone] |= drained[:, other] & (wet[:, other] - wet[:, zone] >= later)
        return np.asarray(drained.all(axis=1))

    def _waits(self, problem: ZoneProblem, openings: Openings, wet: Openings) -> Flags:
        kept = np.ones(len(openings), dtype=bool)
        for cut in problem.waits:
            same = ((openings == 0) == np.isin(np.arange(problem.line_count), sorted(cut.start))).all(axis=1)
            until = wet[:, cut.zone] if cut.enough is None else np.minimum(wet[:, cut.zone], cut.enough)
            kept &= ~same | (openings[:, cut.line] == _SHUT) | (openings[:, cut.line] >= until)
        return kept


def _random_problem(seed: int) -> ZoneProblem:
    """2-4 lines, 4-7 zones in a chain with a few ways across, and now and then each rule of the shop."""
    random = np.random.default_rng(seed)
    lines, zones = int(random.integers(2, 5)), int(random.integers(4, 8))
    arrival = random.integers(1, 8, size=(lines, zones))
    arrival = np.where(random.random((lines, zones)) < 0.1, -1, arrival)
    horizon = int(random.integers(6, 9))
    asked, capped = np.random.default_rng((seed, 1)), np.random.default_rng((seed, 2))
    problem = ZoneProblem(
        arrival=tuple(tuple(row) for row in arrival.tolist()),
        neighbours=_random_neighbours(random, zones),
        vented=_some(random, zones, 0.55),
        required=_some(random, lines, 0.1),
        forbidden=_some(random, lines, 0.1),
        start=_some(random, lines, 0.2) if random.random() < 0.3 else frozenset(),
        order=tuple(random.permutation(lines)[: random.integers(2, lines + 1)].tolist())
        if random.random() < 0.4
        else (),
        hands=int(random.integers(1, 3)),
        action=int(random.integers(0, 3)),
        horizon=horizon,
        waits=tuple(_random_wait(random, lines, zones, horizon) for _ in range(random.integers(0, 5))),
        apart=_random_pairs(asked, lines) if asked.random() < 0.3 else (),
        together=((frozenset(asked.permutation(lines)[:2].tolist()), int(asked.integers(3))),)
        if asked.random() < 0.2
        else (),
        latest=((int(asked.integers(lines)), int(asked.integers(horizon))),) if asked.random() < 0.2 else (),
        walks=_random_walks(asked, lines) if asked.random() < 0.3 else (),
        line_vents=((int(asked.integers(lines)), frozenset(asked.permutation(zones)[:2].tolist())),)
        if asked.random() < 0.4
        else (),
        vents=tuple(_some(asked, zones, 0.3) for _ in range(asked.integers(1, 3))) if asked.random() < 0.3 else (),
        limit=horizon - int(random.integers(1, 4)) if random.random() < 0.2 else None,
        supplied=int(capped.integers(1, horizon)) if capped.random() < 0.15 else 0,
    )
    one = frozenset(sorted(problem.vented)[: int(np.random.default_rng((seed, 3)).integers(zones))])
    return replace(problem, always_open=(one, problem.vented - one))


def _random_pairs(random: np.random.Generator, lines: int) -> tuple[tuple[int, int], ...]:
    pairs = [*combinations(range(lines), 2)]
    return tuple(pairs[k] for k in random.permutation(len(pairs))[: random.integers(1, 3)].tolist())


def _random_walks(random: np.random.Generator, lines: int) -> tuple[tuple[int, ...], ...]:
    """Two places, the way between them of one or two ticks."""
    place, way = random.integers(2, size=lines), int(random.integers(1, 3))
    return tuple(tuple(row) for row in np.where(place[:, None] == place[None], 0, way).tolist())


def _random_neighbours(random: np.random.Generator, zones: int) -> tuple[dict[int, int], ...]:
    pairs = {(zone, zone + 1) for zone in range(zones - 1)}
    pairs |= {pair for pair in combinations(range(zones), 2) if random.random() < 0.25}
    out: tuple[dict[int, int], ...] = tuple({} for _ in range(zones))
    for a, b in sorted(pairs):
        out[a][b], out[b][a] = random.integers(1, 3, size=2).tolist()
    return out


def _random_wait(random: np.random.Generator, lines: int, zones: int, horizon: int) -> WaitCut:
    start = frozenset({int(random.integers(lines))}) | _some(random, lines, 0.2)
    enough = int(random.integers(1, horizon)) if random.random() < 0.5 else None
    return WaitCut(start=start, line=int(random.integers(lines)), zone=int(random.integers(zones)), enough=enough)


def _some(random: np.random.Generator, count: int, share: float) -> frozenset[int]:
    return frozenset(np.flatnonzero(random.random(count) < share).tolist())


_ROWS, _COLUMNS, _GRID_LINES = 3, 4, 3


def _grid_problem(seed: int) -> ZoneProblem:
    """A panel of 3 x 4 zones, lines across it on three of the columns, some zones twice as tight.

    From each line alone resin comes with the square of its run (linear front, Darcy 1856). In each row a vent lies at
    both ends, or somewhere on the way.
    """
    random = np.random.default_rng(seed)
    zone = np.arange(_ROWS * _COLUMNS).reshape(_ROWS, _COLUMNS)
    columns = sorted(random.choice(_COLUMNS, size=_GRID_LINES, replace=False).tolist())
    tight = random.integers(1, 3, size=zone.shape)
    run = np.abs(np.arange(_COLUMNS)[None, :] - np.array(columns)[:, None]) + 0.5
    arrival = np.maximum(1, np.ceil(0.5 * run[:, None, :] ** 2 * tight[None, :, :])).astype(int)
    beside = [*zip(zone[:, :-1].ravel(), zone[:, 1:].ravel(), strict=True)]
    beside += [*zip(zone[:-1].ravel(), zone[1:].ravel(), strict=True)]
    neighbours: list[dict[int, int]] = [{} for _ in range(zone.size)]
    for one, other in beside:
        neighbours[one][int(other)] = neighbours[other][int(one)] = 1
    vented = frozenset(
        int(zone[row, column])
        for row in range(_ROWS)
        for column in ((0, _COLUMNS - 1) if random.random() < 0.5 else (int(random.integers(_COLUMNS)),))
    )
    return ZoneProblem(
        arrival=tuple(tuple(row) for row in arrival.reshape(_GRID_LINES, -1).tolist()),
        neighbours=tuple(neighbours),
        vented=vented,
        required=frozenset(),
        forbidden=frozenset(),
        start=frozenset(),
        order=(),
        hands=int(random.integers(1, 3)),
        action=int(random.integers(0, 2)),
        horizon=9,
        always_open=(vented,),
    )


class Graphs:
    """Problems, and choices written down for them, by name."""

    referee = Referee()
    random_problem = staticmethod(_random_problem)
    grid_problem = staticmethod(_grid_problem)

    def choice(self, problem: ZoneProblem, opens: tuple[int | None, ...]) -> Choice:
        """These openings with the times that follow from them; zones that stay dry are wet far beyond the horizon."""
        row = np.array([[_SHUT if tick is None else tick for tick in opens]])
        wet = tuple(self.referee.wet(problem, row)[0].tolist())
        return Choice(outcome=Outcome.FEASIBLE, opens=opens, wet=wet, wet_out=max(*wet, problem.supplied), levels=())


@pytest.fixture(scope="session")
def graphs() -> Graphs:
    return Graphs()
