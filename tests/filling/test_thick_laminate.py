"""A line on one face of thick bare laminate: resin comes down through the plies before the front stands upright."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from optimiser.part.part import RaceTrack
from optimiser.physics.line_entry import entry_run_m
from optimiser.physics.permeability import stretched_depth_m

ALONG_M2, THROUGH_M2, POROSITY = 1e-10, 1e-12, 0.5
VISCOSITY_PA_S, PRESSURE_PA, RUN_M = 0.2, 9e4, 0.6
ONE_LAYER_S = POROSITY * VISCOSITY_PA_S * RUN_M**2 / (2 * ALONG_M2 * PRESSURE_PA)


def strip(mould: Any, thickness_m: float, cells: int, **line: float) -> Any:
    """Of plies, fed by a line on its face."""
    plies = mould.laminate(ALONG_M2, thickness_m=thickness_m, porosity=POROSITY, through_m2=THROUGH_M2)
    return mould.strip(RUN_M, cells, plies, **line)


def longer(mould: Any, thickness_m: float, cells: int, bore_m: float, *gaps: RaceTrack) -> float:
    """Wet-out over that of one layer fed through its whole thickness."""
    part = replace(strip(mould, thickness_m, cells, bore_m=bore_m, hose_bore_m=0.012), race_tracks=gaps)
    steps = mould.open_at_start("0")
    filled = mould.fill(part, RUN_M / cells, *steps, viscosity_pa_s=VISCOSITY_PA_S, pressure_pa=PRESSURE_PA)
    return float(filled.run.wet_out_s / ONE_LAYER_S)


@pytest.mark.parametrize(
    ("thickness_m", "in_the_plane"),
    [pytest.param(0.0101, 1.373, id="10 mm"), pytest.param(0.02, 2.06, id="20 mm")],
)
@pytest.mark.parametrize("cells", [12, 60])
def test_wet_out_is_that_of_a_front_in_the_plane(
    mould: Any, thickness_m: float, in_the_plane: float, cells: int
) -> None:
    """A moving front in length and depth, cell by cell, apart from this code: 0.6 m, a line 24 mm wide.

    10 mm: 200 by 33 cells. 20 mm: from 60 and 120 cells along, extrapolated. Cells of 50 mm err to the slow side.
    """
    assert 0.96 * in_the_plane < longer(mould, thickness_m, cells, 0.024) < 1.09 * in_the_plane


@pytest.mark.parametrize("cells", [6, 12, 24, 60])
def test_a_front_much_longer_than_the_depth_loses_what_the_law_says(mould: Any, cells: int) -> None:
    """A run L with x added in front takes L^2 / 2 + x L in place of L^2 / 2, whatever the cells."""
    depth_m = stretched_depth_m(thickness_m=0.02, along_m2=ALONG_M2, through_m2=THROUGH_M2)
    added_m = entry_run_m(depth_m=depth_m, half_width_m=0.012)
    assert longer(mould, 0.02, cells, 0.024) == pytest.approx(1 + 2 * added_m / RUN_M, rel=0.01)


def test_a_laminate_that_is_thin_for_its_plies_stays_one_layer(mould: Any) -> None:
    """4 mm are seen as 40 mm: less than a cell."""
    assert mould.reduce(strip(mould, 0.004, 12), 0.05).sheet_count == 12
    assert mould.reduce(strip(mould, 0.006, 12), 0.05).sheet_count == 36


def gap(at_m: float, depth_m: float, cells: int) -> RaceTrack:
    """Across the strip."""
    run_m = ((at_m, 0.0), (at_m, RUN_M / cells))
    return RaceTrack(name=f"{at_m}", run_m=run_m, width_m=1e-3, depth_m=depth_m)


@pytest.mark.parametrize("cells", [12, 30])
def test_a_gap_as_deep_as_the_laminate_feeds_all_of_it(mould: Any, cells: int) -> None:
    """Along the line: the front stands upright from the start and takes Darcy's time for a linear front, and a second
    gap across its way, cut through plies and all, holds it up by no more than its own pores."""
    along, across = gap(0.0, 0.02, cells), gap(0.31, 0.02, cells)
    assert longer(mould, 0.02, cells, 0.024, along) == pytest.approx(1.0, rel=0.02)
    assert longer(mould, 0.02, cells, 0.024, along, across) == pytest.approx(1.0, rel=0.03)


def test_a_gap_feeds_as_deep_as_it_is(mould: Any) -> None:
    """The line alone; with a gap through the fifth that lies on top, through half, through all of it."""
    alone = longer(mould, 0.02, 12, 0.024)
    top, half, deep = (longer(mould, 0.02, 12, 0.024, gap(0.0, depth_m, 12)) for depth_m in (0.004, 0.01, 0.02))
    assert 1.2 * deep < 1.1 * half < top < 0.9 * alone
