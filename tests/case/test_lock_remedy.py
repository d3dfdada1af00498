"""What is advised against a lock fits what locked it."""

from __future__ import annotations

from typing import Any

from optimiser.case.lock_remedy import remedy_of
from optimiser.filling.fill_run import FillRun
from optimiser.part.laminate import Laminate
from optimiser.part.part import LaminateArea, Part
from optimiser.part.sequence import Action

CELL_M = 0.05
ISLAND = ((0.8, 0.3), (1.2, 0.3), (1.2, 0.7), (0.8, 0.7))


def part_of(mould: Any, *, lines: int, patches: tuple[LaminateArea, ...] = (), vent_m: float = 2.0) -> Part:
    """2 x 1 m, line A along one end, B along the other, a vent across at `vent_m`."""
    laid = (mould.feed_line("A", (0.0, 0.0), (0.0, 1.0)), mould.feed_line("B", (2.0, 0.0), (2.0, 1.0)))[:lines]
    vents = (mould.vent("V", (vent_m, 0.0), (vent_m, 1.0)),)
    return mould.panel(2.0, 1.0, mould.laminate(), laid, vents, patches=patches)


def test_a_strip_beyond_a_vent_is_told_as_such(mould: Any) -> None:
    """Across, 60 mm inside the end: full, the vent leaves what lies beyond it without a way out."""
    part = part_of(mould, lines=1, vent_m=1.94)
    filled = mould.fill(part, 0.02, *mould.open_at_start("A"), longest_s=5000.0)
    locks = [lock for lock in filled.run.locks if lock.fails]
    told = remedy_of(filled.run, locks, filled.network)
    assert told.startswith("lay V on the edge, or clamp it only once nothing beside it is dry")


def said(run: FillRun) -> str:
    return remedy_of(run, [lock for lock in run.locks if lock.fails])


def tight(mould: Any) -> LaminateArea:
    laminate: Laminate = mould.laminate(1e-15)
    return LaminateArea(name="island", laminate=laminate, border_m=ISLAND)


def test_of_one_line_nothing_is_told_to_open_later(mould: Any) -> None:
    """The only line of the shot closes round a tight island: it cannot be opened later."""
    part = part_of(mould, lines=1, patches=(tight(mould),))
    run = mould.fill(part, CELL_M, *mould.open_at_start("A"), longest_s=5000.0).run
    assert said(run) == "start from another line, or set a vent at that place"


def test_of_two_lines_one_may_wait(mould: Any) -> None:
    """Fronts from both ends meet midway, and the vent lies elsewhere."""
    run = mould.fill(part_of(mould, lines=2, vent_m=0.5), CELL_M, *mould.open_at_start("A", "B")).run
    assert set(run.locks[0].closed_by) == {"A", "B"}
    assert said(run).startswith("open the line that closes it later, ")


def test_a_vent_clamped_too_early_is_named(mould: Any) -> None:
    """Clamped by the clock with the front half way: no line is to blame."""
    clamp = mould.at_clock(Action.CLAMP, "V", 1000.0)
    run = mould.fill(part_of(mould, lines=1), CELL_M, *mould.open_at_start("A"), clamp).run
    assert said(run) == "clamp V later, once resin stands all along it"
