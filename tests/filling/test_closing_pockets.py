"""Air locked in and pressed out of sight within one step of the run is found all the same.

A line opened when the front is still g short of it closes g off: geometry. Resin from both sides fills such a gap in
less than one of the hundred steps or so that a run has.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from optimiser.part.sequence import Action
from optimiser.physics import closed_form

CELLS, CELL_M = 80, 0.025
BAY_S = closed_form.linear_fill_time_s(
    porosity=0.5, viscosity_pa_s=0.25, length_m=1.0, permeability_m2=1e-9, pressure_difference_pa=9e4
)


def opened_short(mould: Any, short_m: float, **how: Any) -> Any:
    part = mould.strip(2.0, CELLS, mould.laminate(), lines_at_m=(0.0, 1.0))
    early = mould.at_clock(Action.OPEN, "1", (1.0 - short_m) ** 2 * BAY_S)
    return mould.fill(part, CELL_M, *mould.open_at_start("0"), early, **how).run


@pytest.mark.parametrize("short_m", [0.1, 0.15, 0.2, 0.3])
def test_a_gap_that_fills_within_a_step_is_told_with_its_size(mould: Any, short_m: float) -> None:
    """All of it, less than half a cell short: what resin fills of it while the line does."""
    run = opened_short(mould, short_m)
    (lock,) = run.locks
    assert lock.area_m2 / CELL_M == pytest.approx(short_m, abs=CELL_M / 2)
    assert lock.closed_by == ("0", "1") or lock.closed_by == ("1", "0")
    assert not run.clean


def test_looking_costs_a_few_steps_and_moves_no_time(mould: Any) -> None:
    """With no area that matters the same run is not looked at closely, and is wet at the same second."""
    looked, not_looked = opened_short(mould, 0.1), opened_short(mould, 0.1, smallest_lock_m2=1.0)
    assert looked.wet_out_s == pytest.approx(not_looked.wet_out_s, rel=1e-4)
    assert looked.front_steps <= not_looked.front_steps + 25


def test_a_line_opened_as_resin_reaches_it_closes_nothing_off(mould: Any) -> None:
    """No lock, and no step more than for the strip without the watch."""
    part = mould.strip(2.0, CELLS, mould.laminate(), lines_at_m=(0.0, 1.0))
    steps = (*mould.open_at_start("0"), mould.open_on_reach("1"))
    run = mould.fill(part, CELL_M, *steps).run
    blind = mould.fill(part, CELL_M, *steps, smallest_lock_m2=1.0).run
    assert run.locks == ()
    assert run.front_steps == blind.front_steps


def test_a_vent_in_the_gap_lets_its_air_out(mould: Any) -> None:
    """Two fronts that meet on an open vent lock nothing, however quickly they do."""
    vent = mould.vent("M", (0.95, 0.0), (0.95, CELL_M))
    part = mould.strip(2.0, CELLS, mould.laminate(), lines_at_m=(0.0, 1.0), vents=(vent,))
    early = mould.at_clock(Action.OPEN, "1", 0.9**2 * BAY_S)
    run = mould.fill(part, CELL_M, *mould.open_at_start("0"), early, smallest_lock_m2=0.6 * CELL_M * 0.1).run
    assert not any(lock.fails for lock in run.locks)
    assert np.isfinite(run.wet_out_s)
