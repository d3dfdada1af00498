"""What a lock on the network teaches the zone graph, in places that can be pointed at."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from optimiser.filling.fill_run import FillRun
from optimiser.network.flow_network import FlowNetwork
from optimiser.network.zones import Zones
from optimiser.plan.corrections import LearntWait, cut_zones_at_locks, waits_for_locked
from optimiser.sequencing.zone_problem import WaitCut


@pytest.fixture(scope="module")
def locked(mould: Any) -> Any:
    """A strip with vents at its ends, filled from line 0 at its left end, then far too early from line 1 near the
    right: what lies between the two is shut off."""
    lines = tuple(mould.feed_line(str(k), (x_m, 0.0), (x_m, 0.3)) for k, x_m in enumerate((0.15, 1.65)))
    vents = (mould.vent("V", (0.0, 0.0), (0.0, 0.3)), mould.vent("W", (2.0, 0.0), (2.0, 0.3)))
    part = mould.panel(2.0, 0.3, mould.laminate(), lines, vents)
    steps = (*mould.open_at_start("0"), mould.open_on_reach("1", "0", delay_s=20.0))
    return mould.fill(part, 0.1, *steps)


def one_zone(network: FlowNetwork) -> Zones:
    return Zones(names=("all",), zone_of_cell=np.zeros(network.cell_count, dtype=np.int64))


def failing(run: FillRun) -> list[Any]:
    return [lock for lock in run.locks if lock.fails]


def test_the_strip_locks_between_its_lines(locked: Any) -> None:
    """As the tests below take for granted: one region, closed by both lines."""
    (lock,) = failing(locked.run)
    assert 0.15 < lock.x_m < 1.65
    assert set(lock.closed_by) == {"0", "1"}


def test_the_locked_region_becomes_a_zone_of_its_own(locked: Any) -> None:
    """With its ring cut from the rest: the locked cells, one link wide around, then a ring of two links."""
    network, run = locked.network, locked.run
    cut = cut_zones_at_locks(network, one_zone(network), failing(run), most_zones=10)
    (lock,) = failing(run)
    zones = cut.zones
    inside = zones.zone_of_cell[lock.nodes[lock.nodes < network.cell_count]]
    assert cut.says in ("1 zone cut near line 0", "1 zone cut near line 1")
    assert len(set(inside.tolist())) == 1
    assert zones.count >= 3, "the region, its ring, and what is left"
    assert np.count_nonzero(zones.zone_of_cell == inside[0]) < network.cell_count


def test_no_cell_is_lost_when_zones_are_cut(locked: Any) -> None:
    """Every cell has one zone, every zone a name of its own and at least one cell."""
    network = locked.network
    zones = cut_zones_at_locks(network, one_zone(network), failing(locked.run), most_zones=10).zones
    assert len(zones.zone_of_cell) == network.cell_count
    assert sorted(set(zones.zone_of_cell.tolist())) == list(range(zones.count))
    assert len(set(zones.names)) == zones.count


def test_zones_are_not_cut_without_end(locked: Any) -> None:
    """Where there are already far more than asked for, they stay."""
    network = locked.network
    each = Zones(names=tuple(map(str, range(network.cell_count))), zone_of_cell=np.arange(network.cell_count))
    cut = cut_zones_at_locks(network, each, failing(locked.run), most_zones=10)
    assert (cut.zones, cut.says) == (each, "no zone cut")


def test_a_cut_only_ever_divides_zones(locked: Any) -> None:
    """Strips 0.2 m wide, several of them in the locked region and its ring: no piece lies in two of them. Cut again at
    the same place, nothing is left to cut."""
    network = locked.network
    strip = (network.x_m[: network.cell_count] / 0.2).astype(np.int64)
    strips = Zones(names=tuple(map(str, range(strip.max() + 1))), zone_of_cell=strip)
    cut = cut_zones_at_locks(network, strips, failing(locked.run), most_zones=10)
    pieces = {(int(a), int(b)) for a, b in zip(cut.zones.zone_of_cell, strip, strict=True)}
    assert len(pieces) == cut.zones.count >= strips.count
    assert cut.divided == cut.zones.count - strips.count
    again = cut_zones_at_locks(network, cut.zones, failing(locked.run), most_zones=10)
    assert (again.zones.count, again.says) == (cut.zones.count, "no zone cut")


def test_the_line_that_closed_the_region_waits_for_it(locked: Any) -> None:
    """Started from line 0 again, line 1, the later one, is to wait for the cells that were locked."""
    (lock,) = failing(locked.run)
    cells = tuple(lock.nodes[lock.nodes < locked.network.cell_count].tolist())
    (wait,) = waits_for_locked(locked.network, locked.run, whole_bay=False)
    assert wait == LearntWait(start=frozenset({0}), line=1, cells=cells)


def test_after_a_lock_by_chance_the_line_waits_for_its_whole_bay(locked: Any) -> None:
    """All on the side of line 1 that resin came to first: from half way between the lines to line 1."""
    (wait,) = waits_for_locked(locked.network, locked.run, whole_bay=True)
    bay = locked.network.bays[1]
    sides = {int(side) for cell, side in zip(bay.cells, bay.side, strict=True) if int(cell) in set(wait.cells)}
    assert (wait.start, wait.line) == (frozenset({0}), 1)
    assert len(sides) == 1
    assert set(wait.cells) == {int(c) for c, side in zip(bay.cells, bay.side, strict=True) if int(side) in sides}


def test_a_clean_run_teaches_no_wait(mould: Any) -> None:
    """A strip filled from one end to the vent at the other."""
    filled = mould.fill(mould.strip(1.0, 10, mould.laminate()), 0.1, *mould.open_at_start("0"))
    assert waits_for_locked(filled.network, filled.run, whole_bay=False) == ()


def test_a_wait_for_cells_is_a_wait_for_each_zone_that_holds_one() -> None:
    """Cells 1, 2 and 5 lie in zones 0 and 2 of these six cells."""
    zones = Zones(names=("a", "b", "c"), zone_of_cell=np.array([0, 0, 0, 1, 1, 2]))
    wait = LearntWait(start=frozenset({0}), line=1, cells=(1, 2, 5))
    assert wait.on(zones) == [WaitCut(start=frozenset({0}), line=1, zone=zone) for zone in (0, 2)]
