"""Air locks: unfilled regions cut off from every open vent, their size, time and what closed them.

Geometry gives the expected areas and litres: invented panels of 5 mm laminate at half porosity.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from optimiser.filling.locked_regions import locked_pieces
from optimiser.filling.ways_out import WaysOut
from optimiser.part.part import LaminateArea, Outline, Part, Vent
from optimiser.part.sequence import Action
from optimiser.physics import closed_form, parallel_lines

LENGTH_M, WIDTH_M, CELL_M = 2.0, 1.0, 0.05
ISLAND = ((0.8, 0.3), (1.2, 0.3), (1.2, 0.7), (0.8, 0.7))
ISLAND_M2 = 0.16
PORE_DEPTH_M = 2.5e-3


def edge_fed(mould: Any, *vents: Vent, island_m2: float | None = None, both_ends: bool = False) -> Part:
    """A panel with line A along its left edge, and B along its right; an island of another permeability."""
    lines = [mould.feed_line("A", (0.0, 0.0), (0.0, WIDTH_M))]
    if both_ends:
        lines.append(mould.feed_line("B", (LENGTH_M, 0.0), (LENGTH_M, WIDTH_M)))
    patches = ()
    if island_m2 is not None:
        patches = (LaminateArea(name="island", laminate=mould.laminate(island_m2), border_m=ISLAND),)
    return mould.panel(LENGTH_M, WIDTH_M, mould.laminate(), tuple(lines), vents, patches=patches)


def end_vent(mould: Any) -> Vent:
    return mould.vent("V", (LENGTH_M, 0.0), (LENGTH_M, WIDTH_M))


def test_island_that_resin_flows_round_is_locked_with_its_area_litres_place_and_line(mould: Any) -> None:
    """An island a million times tighter is dry when the front closes behind it: 0.16 m2, 0.4 l.

    1 %: what little has entered it. The time is that at which the last cell round it is wet, within a step.
    """
    part = edge_fed(mould, end_vent(mould), island_m2=1e-15)
    filled = mould.fill(part, CELL_M, *mould.open_at_start("A"), longest_s=5000.0)
    (lock,) = filled.run.locks
    assert lock.area_m2 == pytest.approx(ISLAND_M2, rel=0.01)
    assert lock.pore_m3 == pytest.approx(ISLAND_M2 * PORE_DEPTH_M, rel=0.01)
    assert (lock.x_m, lock.y_m) == pytest.approx((1.0, 0.5), abs=CELL_M / 10)
    assert lock.closed_by == ("A",)
    assert lock.fails
    assert not filled.run.clean
    assert filled.run.locked_pore_m3 == lock.pore_m3
    x_m, y_m = filled.network.x_m, filled.network.y_m
    ring = (np.abs(x_m - 1.0) < 0.25) & (np.abs(y_m - 0.5) < 0.25) & (filled.network.area_m2 > 0)
    ring[lock.nodes] = False
    closed_s = filled.run.arrival_s[ring].max()
    step_s = np.diff(filled.run.history.time_s).max()
    assert closed_s - 1e-6 <= lock.at_s <= closed_s + step_s


def test_lock_below_the_smallest_area_is_listed_and_does_not_fail(mould: Any) -> None:
    """The same island, more open so that it fills in the end, where only 0.2 m2 would matter."""
    part = edge_fed(mould, end_vent(mould), island_m2=2e-12)
    steps = mould.open_at_start("A")
    minded = mould.fill(part, CELL_M, *steps, smallest_lock_m2=0.01).run
    not_minded = mould.fill(part, CELL_M, *steps, smallest_lock_m2=0.2).run
    assert [lock.fails for lock in minded.locks] == [True]
    assert [lock.fails for lock in not_minded.locks] == [False]
    assert np.isfinite(not_minded.wet_out_s)
    assert not_minded.clean
    assert not minded.clean
    assert not_minded.locked_pore_m3 == 0.0


def test_two_fronts_with_no_vent_between_lock_all_from_the_start(mould: Any) -> None:
    """Lines at both ends, vent under one of them: closed as soon as that vent's cells are wet."""
    run = mould.fill(
        edge_fed(mould, end_vent(mould), both_ends=True), CELL_M, *mould.open_at_start("A", "B")
    ).run
    (lock,) = run.locks
    assert lock.at_s < 0.01 * run.wet_out_s
    assert lock.area_m2 == pytest.approx(LENGTH_M * WIDTH_M, rel=0.1)
    assert set(lock.closed_by) == {"A", "B"}


def test_vent_midway_between_two_fronts_drains_them_until_it_is_wet(mould: Any) -> None:
    """They meet at a quarter of the time of one run over the whole length, 694.4 s, and nothing is locked."""
    mid = mould.vent("M", (1.0, 0.0), (1.0, WIDTH_M))
    filled = mould.fill(edge_fed(mould, mid, both_ends=True), CELL_M, *mould.open_at_start("A", "B"))
    whole_s = closed_form.linear_fill_time_s(
        porosity=0.5,
        viscosity_pa_s=0.25,
        length_m=LENGTH_M,
        permeability_m2=1e-9,
        pressure_difference_pa=9e4,
    )
    assert filled.run.locks == ()
    assert filled.run.clean
    meet_s = parallel_lines.fronts_meet_time_s(bay_time_s=whole_s)
    assert filled.run.wet_out_s == pytest.approx(meet_s, rel=5e-3)
    vent_s = filled.run.arrival_s[filled.network.vents[0].cells]
    assert vent_s.min() > 0.85 * meet_s


def test_vent_clamped_before_resin_reaches_it_locks_what_is_still_dry(mould: Any) -> None:
    """Clamped at 1000 s: the front stands at L sqrt(t / T) = 1.2 m, so 0.8 m2 are locked then and there.

    2 %: a step is ended within a thousandth of its event, and the cells' middles lie half a cell off.
    """
    part = edge_fed(mould, end_vent(mould))
    clamp = mould.at_clock(Action.CLAMP, "V", 1000.0)
    run = mould.fill(part, CELL_M, *mould.open_at_start("A"), clamp).run
    front_m = closed_form.linear_front_m(
        porosity=0.5, viscosity_pa_s=0.25, time_s=1000.0, permeability_m2=1e-9, pressure_difference_pa=9e4
    )
    (lock,) = run.locks
    assert lock.at_s == pytest.approx(1000.0)
    assert lock.area_m2 == pytest.approx((LENGTH_M - front_m) * WIDTH_M, rel=0.02)
    assert lock.closed_by == ("A",)


def test_vent_clamped_when_resin_stands_in_it_locks_nothing(mould: Any) -> None:
    """The same clamp, called for by resin along the whole vent."""
    clamp = replace(mould.open_on_reach("V"), action=Action.CLAMP)
    run = mould.fill(edge_fed(mould, end_vent(mould)), CELL_M, *mould.open_at_start("A"), clamp).run
    assert run.locks == ()
    assert run.clean


def two_pieces(mould: Any, *, bridged: bool) -> Part:
    """Two outlines with a gap, fed at the left end of the first and vented at the right end of the second."""
    first = Outline(name="first", border_m=((0.0, 0.0), (1.0, 0.0), (1.0, 0.5), (0.0, 0.5)))
    second = Outline(name="second", border_m=((1.2, 0.0), (2.2, 0.0), (2.2, 0.5), (1.2, 0.5)))
    lines = (mould.feed_line("A", (0.0, 0.0), (0.0, 0.5)),)
    if bridged:
        lines += (mould.feed_line("C", (0.97, 0.25), (1.23, 0.25)),)
    return Part(
        outlines=(first, second),
        areas=(LaminateArea(name="all", laminate=mould.laminate(), border_m=None),),
        feed_lines=lines,
        vents=(mould.vent("V", (2.2, 0.0), (2.2, 0.5)),),
    )


def test_shut_and_empty_feed_line_lets_air_out_of_what_would_else_be_locked(mould: Any) -> None:
    """Without it the first piece has no vent and is locked at once; with it both fill."""
    steps = mould.open_at_start("A")
    alone = mould.fill(two_pieces(mould, bridged=False), CELL_M, *steps, longest_s=1e4)
    bridged = mould.fill(two_pieces(mould, bridged=True), CELL_M, *steps)
    (lock,) = alone.run.locks
    assert lock.at_s < 10.0
    assert lock.area_m2 == pytest.approx(0.5, rel=0.1)
    assert bridged.run.locks == ()
    assert np.isfinite(bridged.run.wet_out_s)


def test_line_over_the_middles_of_cells_leaves_none_of_them_locked_beneath_it(mould: Any) -> None:
    """Lines at 0.55 and 1.05 m on cells of 0.1 m, opened as they are reached: no lock."""
    lines = tuple(mould.feed_line(str(k), (x_m, 0.0), (x_m, 0.5)) for k, x_m in enumerate((0.0, 0.55, 1.05)))
    part = mould.panel(2.0, 0.5, mould.laminate(), lines, (mould.vent("V", (2.0, 0.0), (2.0, 0.5)),))
    steps = (*mould.open_at_start("0"), mould.open_on_reach("1"), mould.open_on_reach("2"))
    assert mould.fill(part, 0.1, *steps).run.locks == ()


def test_pieces_are_found_largest_first_and_only_without_an_open_vent(mould: Any) -> None:
    """A strip of ten cells wet at 2, 5 and 6: cells 0-1 and 3-4 are cut off, 7-9 drain to the vent.

    Clamped, the vent drains nothing and the largest piece is the last. The line at the left end is wet.
    """
    network = mould.reduce(mould.strip(1.0, 10, mould.laminate()), 0.1)
    wet = np.zeros(network.node_count, dtype=bool)
    wet[[2, 5, 6]] = True
    wet[10:] = True
    saturation = wet.astype(float)
    saturation[0] = 0.5
    open_vent, shut_vent = np.array([True]), np.array([False])
    found = locked_pieces(network, saturation, ~wet & ~WaysOut.found(network, ~wet, open_vent).drains)
    assert [piece.nodes.tolist() for piece in found] == [[3, 4], [0, 1]]
    assert [piece.area_m2 for piece in found] == pytest.approx([0.02, 0.015])
    assert [piece.pore_m3 for piece in found] == pytest.approx([0.02 * PORE_DEPTH_M, 0.015 * PORE_DEPTH_M])
    clamped = locked_pieces(network, saturation, ~wet & ~WaysOut.found(network, ~wet, shut_vent).drains)
    assert [piece.nodes.tolist() for piece in clamped] == [[7, 8, 9], [3, 4], [0, 1]]
