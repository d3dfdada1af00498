"""The choice of sequence as whole numbers on the zone graph, and the answer to it."""

from __future__ import annotations

import math
from collections.abc import Mapping
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
    limit: int | None = None
    """When all must be wet; None: the best choice is looked for, however late."""
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
    levels: tuple[tuple[str, int, int], ...]
    """Objective levels in order: name, value, proven bound."""

    @property
    def found(self) -> bool:
        return self.outcome in (Outcome.OPTIMAL, Outcome.FEASIBLE)


def ticks_up(time_s: float, tick_s: float) -> int:
    """Arrivals are rounded up: resin is never expected before it is there."""
    return math.ceil(time_s / tick_s - 1e-9)


def ticks_down(time_s: float, tick_s: float) -> int:
    """Limits such as the gel time are rounded down."""
    return math.floor(time_s / tick_s + 1e-9)
