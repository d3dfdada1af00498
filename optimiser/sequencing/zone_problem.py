"""The choice of sequence as whole numbers on the zone graph, and the answer to it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

NEVER = -1
"""In `arrival`: resin from this line alone does not wet the zone within the horizon."""


@dataclass(frozen=True, kw_only=True)
class WaitCut:
    """Learnt from the network: if exactly these lines open at the start, this line waits until that zone is wet,
    or until a tick that a clean run has shown to be late enough."""

    start: frozenset[int]
    line: int
    zone: int
    enough: int | None = None


@dataclass(frozen=True, kw_only=True)
class ZoneProblem:
    """Times are ticks."""

    arrival: tuple[tuple[int, ...], ...]
    """arrival[line][zone]: from the opening of that line alone to all of the zone wet, rounded up; or NEVER."""
    neighbours: tuple[Mapping[int, int], ...]
    """neighbours[zone]: how many ticks later each neighbour must be wet for the zone to drain into it, at least 1."""
    vented: frozenset[int]
    """Zones with a vent on them."""
    required: frozenset[int]
    forbidden: frozenset[int]
    start: frozenset[int]
    """Lines that must open at time 0, before all others; empty: free."""
    order: tuple[int, ...]
    """Lines that must open in this order, where they open."""
    hands: int
    action: int
    """Ticks one person needs for one tap; openings at time 0 are done beforehand."""
    horizon: int
    waits: tuple[WaitCut, ...] = ()
    apart: tuple[tuple[int, int], ...] = ()
    """Pairs of lines that are never open at the same time."""
    together: tuple[tuple[frozenset[int], int], ...] = ()
    """Groups of lines that open together or not at all, with the most ticks that hands need from first to last."""
    latest: tuple[tuple[int, int], ...] = ()
    """(line, tick): a line that opens does so by then."""
    vents: tuple[frozenset[int], ...] = ()
    """Zones under each vent that may be left clamped; `vented` holds those under vents that are open at any rate."""
    always_open: tuple[frozenset[int], ...] = ()
    """Zones under each of the other vents; all of them are in `vented`."""
    line_vents: tuple[tuple[int, frozenset[int]], ...] = ()
    """(line, zones beside it) of lines that are vents until resin reaches them."""
    walks: tuple[tuple[int, ...], ...] = ()
    """(lines, lines): ticks from one tap to another; empty: no walk is counted."""

    def vented_by(self, used: Sequence[bool]) -> frozenset[int]:
        """Zones with an open vent on them, with these of `vents` used; none said: with all."""
        return self.vented.union(*(zones for k, zones in enumerate(self.vents) if not used or used[k]))

    @property
    def partners(self) -> dict[int, tuple[int, ...]]:
        """With which others each line of a pair is never open."""
        lines = sorted({line for pair in self.apart for line in pair})
        return {
            line: tuple(sorted({other for pair in self.apart if line in pair for other in pair if other != line}))
            for line in lines
        }

    def hand_over(self, line: int, other: int) -> int:
        """Ticks from the line shut to the other open: one person does the one, then the other; two do both at once,
        whoever has farther to walk."""
        walk = self.walking(line, other)
        return self.action + walk if self.hands == 1 else self.longest_walk

    @property
    def longest_walk(self) -> int:
        return max(map(max, self.walks), default=0)

    def walking(self, line: int, other: int) -> int:
        return self.walks[line][other] if self.walks else 0

    def handed_over(self, opened: Mapping[int, int]) -> dict[int, int]:
        """Which lines are shut again, and for which other: the first of their partners that opens after them."""
        out = {}
        for line, partners in self.partners.items():
            later = [(opened[other], other) for other in partners if other in opened]
            later = [one for one in later if line in opened and one[0] > opened[line]]
            if later:
                out[line] = min(later)[1]
        return out

    def closings(self, opened: Mapping[int, int]) -> dict[int, int]:
        """When the lines that are shut again have been shut."""
        return {line: opened[other] - self.hand_over(line, other) for line, other in self.handed_over(opened).items()}
    limit: int | None = None
    """When all must be wet; None: the best choice is looked for, however late."""
    supplied: int = 0
    """Before this tick a supply that is capped cannot have given what the whole part holds."""
    use_fields: tuple[str, ...] = ()
    """For each line the field of the case that says how it may be used; taps of one line share one."""

    def use_field(self, line: int) -> str:
        return self.use_fields[line] if self.use_fields else f"use of {line}"

    @property
    def line_count(self) -> int:
        return len(self.arrival)

    @property
    def zone_count(self) -> int:
        return len(self.neighbours)


class LevelName(StrEnum):
    """What is better, in this order; ticks but where it says otherwise."""

    WET_OUT = "wet-out"
    """When the last zone is wet; least."""
    MARGIN = "margin at the closest near-lock"
    """How long the way out of a zone without a vent stays open after it is wet, of the zone for which that is the
    shortest; wet-out where every zone has a vent; most."""
    TAPS = "taps turned"
    """Openings and closings of lines, a number; fewest."""
    VENTS = "vents used"
    """Of those that may be left clamped, a number; fewest."""
    DRAWN = "time that vents draw"
    """From the first zone under a vent wet to the last, which clamps it; the sum over the vents; least."""
    EARLY = "sum of opening times"
    """Least."""


class Outcome(StrEnum):
    OPTIMAL = "optimal"
    FEASIBLE = "feasible"
    INFEASIBLE = "infeasible"
    NOTHING_FOUND = "nothing_found"


@dataclass(frozen=True, kw_only=True)
class Choice:
    """When each line opens on the zone graph."""

    outcome: Outcome
    opens: tuple[int | None, ...]
    """Tick at which each line's tap has been turned; None: not used. Empty when nothing was found."""
    wet: tuple[int, ...]
    """Tick at which each zone is wet."""
    wet_out: int | None
    levels: tuple[tuple[LevelName, int, int | None], ...]
    """In order: name, value, proven bound; None: there was no time to look for one. Proven where the two are equal."""
    vents: tuple[bool, ...] = ()
    """Which of the vents that may be left clamped are used; empty: all."""

    @property
    def found(self) -> bool:
        return self.outcome in (Outcome.OPTIMAL, Outcome.FEASIBLE)


def ticks_up(time_s: float, tick_s: float) -> int:
    """Arrivals are rounded up: resin is never expected before it is there."""
    return math.ceil(time_s / tick_s - 1e-9)


def ticks_down(time_s: float, tick_s: float) -> int:
    """Limits such as the gel time are rounded down."""
    return math.floor(time_s / tick_s + 1e-9)
