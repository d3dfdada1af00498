"""A strip fed by parallel lines, as optimiser/physics/parallel_lines.py and its check values have it.

Phi 0.5, 0.25 Pa s, 1e-9 m2, 9e4 Pa, lines 1 m apart, 4 bays (tests/check_values/parallel_lines.csv): derived
from Darcy's law and a volume balance. Lines are empty pipes that the front must fill on its way; they have so
little bore here that this costs 0.02 % of a bay.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from optimiser.physics import closed_form, parallel_lines

BAYS = 4
CELLS_PER_BAY = 20
CELL_M = 1.0 / CELLS_PER_BAY
BAY_S = closed_form.linear_fill_time_s(
    porosity=0.5, viscosity_pa_s=0.25, length_m=1.0, permeability_m2=1e-9, pressure_difference_pa=9e4
)
TOLERANCE = 2e-3
"""Each of three taps is turned within 3e-4 of the time its line was reached; hoses cost as much again."""


def four_bays(mould: Any, **more: Any) -> Any:
    return mould.strip(
        float(BAYS), BAYS * CELLS_PER_BAY, mould.laminate(), lines_at_m=(0.0, 1.0, 2.0, 3.0), **more
    )


def test_first_line_alone_takes_the_square_of_the_bays(mould: Any) -> None:
    """The other lines lie in the strip all the same, shut: nothing but their little volume is felt."""
    filled = mould.fill(four_bays(mould), CELL_M, *mould.open_at_start("0"))
    expected_s = parallel_lines.single_inlet_time_s(bays=BAYS, bay_time_s=BAY_S)
    assert filled.run.wet_out_s == pytest.approx(expected_s, rel=TOLERANCE)


def test_lines_opened_as_they_are_reached_take_as_many_bay_times(mould: Any) -> None:
    """2777.8 s, and line i is opened at i bay times."""
    later = [mould.open_on_reach(label) for label in "123"]
    filled = mould.fill(four_bays(mould), CELL_M, *mould.open_at_start("0"), *later)
    expected_s = parallel_lines.lines_in_turn_time_s(bays=BAYS, bay_time_s=BAY_S)
    assert filled.run.wet_out_s == pytest.approx(expected_s, rel=TOLERANCE)
    opened_s = [one.done_s for one in filled.run.steps]
    assert opened_s == pytest.approx([0.0, BAY_S, 2 * BAY_S, 3 * BAY_S], rel=TOLERANCE)


@pytest.mark.parametrize("late_m", [0.05, 0.1, 0.2])
def test_each_line_opened_late_costs_twice_what_was_run_past_it(mould: Any, late_m: float) -> None:
    """2986.1, 3194.4 and 3611.1 s when the front is 5, 10 and 20 cm past each line.

    That is N + 2 (N - 1) d / s bay times. From a line to d past it takes (1 + d/s)^2 - 1 bay times: the
    delay that makes each tap so late.
    """
    delay_s = BAY_S * ((1 + late_m) ** 2 - 1)
    later = [mould.open_on_reach(label, delay_s=delay_s) for label in "123"]
    filled = mould.fill(four_bays(mould), CELL_M, *mould.open_at_start("0"), *later)
    expected_s = parallel_lines.lines_late_time_s(bays=BAYS, bay_time_s=BAY_S, spacing_m=1.0, late_m=late_m)
    assert filled.run.wet_out_s == pytest.approx(expected_s, rel=TOLERANCE)


def test_lines_opened_at_once_meet_midway_at_a_quarter_of_the_bay_time(mould: Any) -> None:
    """With a vent midway in each closed bay its cells fill at 173.6 s and nothing is locked."""
    mids = tuple(mould.vent(f"M{k}", (k + 0.5, 0.0), (k + 0.5, CELL_M)) for k in range(BAYS - 1))
    filled = mould.fill(four_bays(mould, vents=mids), CELL_M, *mould.open_at_start("0", "1", "2", "3"))
    x_m = filled.network.x_m[: filled.network.cell_count]
    for k in range(BAYS - 1):
        beside = np.abs(x_m - k - 0.5) < CELL_M
        met_s = filled.run.arrival_s[: len(x_m)][beside]
        expected_s = parallel_lines.fronts_meet_time_s(bay_time_s=BAY_S)
        assert met_s == pytest.approx(expected_s, rel=TOLERANCE)
    assert filled.run.locks == ()


def test_lines_opened_at_once_without_vents_between_lock_every_bay_but_the_last(mould: Any) -> None:
    """Three bays have resin on both sides from the first minute: three locks, each midway in its bay."""
    filled = mould.fill(four_bays(mould), CELL_M, *mould.open_at_start("0", "1", "2", "3"))
    found = sorted((lock.x_m, lock.closed_by) for lock in filled.run.locks)
    assert [x_m for x_m, _ in found] == pytest.approx([0.5, 1.5, 2.5], abs=CELL_M)
    assert [set(lines) for _, lines in found] == [{"0", "1"}, {"1", "2"}, {"2", "3"}]
    assert not filled.run.clean
