"""What a lock on the network teaches the zone graph."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optimiser.filling.fill_run import FillRun, Lock, opening_times_s
from optimiser.network.bays import near_line
from optimiser.network.flow_network import BoolArray, FlowNetwork, IntArray
from optimiser.network.zones import Zones, split
from optimiser.sequencing.zone_problem import WaitCut

_RING = 2
"""Cells round a locked region that become zones of their own: the graph has to see what closes it."""
_MOST_ZONES_FACTOR = 2.5


@dataclass(frozen=True, kw_only=True)
class Cut:
    """Zones after a cut, and what was cut."""

    zones: Zones
    divided: int
    """Of the zones before."""
    near: tuple[str, ...]
    """Labels of the lines that the locked regions lie nearest to, in the order of the lines."""

    @property
    def says(self) -> str:
        if not self.divided:
            return "no zone cut"
        one = self.divided == 1
        lines = f"line{'s' if len(self.near) > 1 else ''} {' and '.join(self.near)}"
        return f"{self.divided} zone{'' if one else 's'} cut near {lines}"


def cut_zones_at_locks(network: FlowNetwork, zones: Zones, locks: list[Lock], *, most_zones: int) -> Cut:
    """Zones cut along the border of each locked region, and of the ring round it."""
    before, nearest = zones, near_line(network).line
    near: set[int] = set()
    for lock in locks:
        if zones.count > _MOST_ZONES_FACTOR * most_zones:
            break
        cells = network.cells_of(lock.nodes)
        if len(cells) == 0:
            continue
        count = zones.count
        region = _grown(network, cells, 1)
        ring = _grown(network, np.flatnonzero(region), _RING)
        zones = split(split(zones, network, np.flatnonzero(region)), network, np.flatnonzero(ring))
        if zones.count > count:
            near.add(int(np.bincount(nearest[cells]).argmax()))
    pieces = np.unique(np.column_stack([before.zone_of_cell, zones.zone_of_cell]), axis=0)
    divided = int(np.count_nonzero(np.bincount(pieces[:, 0]) > 1))
    return Cut(zones=zones, divided=divided, near=tuple(network.lines[line].label for line in sorted(near)))


def _grown(network: FlowNetwork, cells: IntArray, links_wide: int) -> BoolArray:
    """Cells within so many links of the given ones, over the sheet and over the pipes on it."""
    links = network.links
    inside = np.zeros(network.node_count, dtype=bool)
    inside[cells] = True
    for _ in range(links_wide):
        near = inside.copy()
        near[links.end[inside[links.start]]] = True
        near[links.start[inside[links.end]]] = True
        near[network.cell_count :] = False
        inside = near
    return inside[: network.cell_count]


@dataclass(frozen=True, kw_only=True)
class LearntWait:
    """With exactly these lines at the start, this line waits until those cells are wet."""

    start: frozenset[int]
    line: int
    cells: tuple[int, ...]

    def on(self, zones: Zones) -> list[WaitCut]:
        of_cells = np.unique(zones.zone_of_cell[list(self.cells)])
        return [WaitCut(start=self.start, line=self.line, zone=int(zone)) for zone in of_cells]


def waits_for_locked(network: FlowNetwork, run: FillRun, *, whole_bay: bool) -> tuple[LearntWait, ...]:
    """For each lock: with the same start, the last opened of the lines that closed it waits until it is wet.

    whole_bay: wait for all of the bay that lies behind that line. A region that locks only by the chance of patchy
    permeability locks elsewhere by another chance.
    """
    opened = opening_times_s(run)
    start = frozenset(network.line_index[label] for label, time in opened.items() if time == 0)
    waits = []
    for lock in run.locks:
        closer, cells = _last_closer(opened, lock), network.cells_of(lock.nodes)
        if closer is None or len(cells) == 0:
            continue
        line = network.line_index[closer]
        if whole_bay:
            cells = _bay_behind(network, line, run)
        waits.append(LearntWait(start=start, line=line, cells=tuple(int(cell) for cell in cells)))
    return tuple(dict.fromkeys(waits))


def last_closers(run: FillRun) -> tuple[str, ...]:
    """For each lock the last opened of the lines that closed it, where that was not open at the start."""
    opened = opening_times_s(run)
    found = (_last_closer(opened, lock) for lock in run.locks)
    return tuple(dict.fromkeys(label for label in found if label is not None))


def _last_closer(opened: dict[str, float], lock: Lock) -> str | None:
    closers = [label for label in lock.closed_by if 0 < opened.get(label, 0.0) <= lock.at_s]
    return max(closers, key=lambda label: (opened[label], label), default=None) if lock.fails else None


def _bay_behind(network: FlowNetwork, line: int, run: FillRun) -> IntArray:
    """Cells of the line's bay on the side that resin came to first."""
    bay = network.bays[line]
    first = [run.arrival_s[bay.cells[bay.side == side]].min(initial=np.inf) for side in (0, 1)]
    return np.asarray(bay.cells[bay.side == int(np.argmin(first))])
