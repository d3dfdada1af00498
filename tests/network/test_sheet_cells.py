"""Cells of outlines: no laminate is lost or made, whatever the border."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely

from optimiser.part.part import LaminateArea, Outline, Part

ROUNDING = 1e-12
SLANTING = ((0.0, 0.0), (1.7, 0.3), (1.5, 1.2), (0.6, 1.5), (-0.2, 0.8))
HOLE = ((0.5, 0.5), (0.8, 0.55), (0.7, 0.8))


def slanting_part(mould: Any, *areas: LaminateArea) -> Part:
    base = LaminateArea(name="base", laminate=mould.laminate(), border_m=None)
    return Part(
        outlines=(Outline(name="skin", border_m=SLANTING, holes_m=(HOLE,)),),
        areas=(base, *areas),
        feed_lines=(mould.feed_line("0", (0.2, 0.4), (0.4, 0.9)),),
        vents=(mould.vent("V", (1.4, 0.8)),),
    )


@pytest.mark.parametrize("cell_m", [0.3, 0.1, 0.07, 0.03])
def test_cells_cover_the_outline_less_its_hole(mould: Any, cell_m: float) -> None:
    """Area and pore volume are those of the polygon (Shapely) at every cell size: border cells are cut to it.

    The line moves volume across itself, and no more than it takes away.
    """
    network = mould.reduce(slanting_part(mould), cell_m)
    cells = slice(0, network.cell_count)
    area_m2 = shapely.Polygon(SLANTING, (HOLE,)).area
    assert network.area_m2[cells].sum() == pytest.approx(area_m2, rel=ROUNDING)
    assert network.volume_m3[cells].sum() == pytest.approx(area_m2 * 5e-3 * 0.5, rel=ROUNDING)
    assert (network.volume_m3[cells] > 0).all()


def test_each_cell_holds_what_its_own_laminate_takes(mould: Any) -> None:
    """With a thicker patch along cell borders the pore volume is that of both laminates, each on its area."""
    border_m = ((0.5, 0.0), (1.0, 0.0), (1.0, 0.5), (0.5, 0.5))
    patch = LaminateArea(
        name="pad", laminate=mould.laminate(thickness_m=12e-3, porosity=0.4), border_m=border_m
    )
    line = mould.feed_line("0", (0.0, 0.0), (0.0, 1.0))
    part = mould.panel(
        2.0, 1.0, mould.laminate(), (line,), (mould.vent("V", (2.0, 0.0), (2.0, 1.0)),), patches=(patch,)
    )
    network = mould.reduce(part, 0.1)
    volume_m3 = network.volume_m3[: network.cell_count].sum()
    assert volume_m3 == pytest.approx(1.75 * 5e-3 * 0.5 + 0.25 * 12e-3 * 0.4, rel=ROUNDING)
    assert np.bincount(network.area_of_cell).tolist() == [175, 25]


def test_outlines_that_touch_are_one_sheet_and_others_are_not(mould: Any) -> None:
    """Resin crosses the seam of two developed pieces; it does not cross a gap of a hand's width."""

    def two_pieces(gap_m: float) -> Part:
        left = Outline(name="left", border_m=((0.0, 0.0), (1.0, 0.0), (1.0, 0.5), (0.0, 0.5)))
        x_m = 1.0 + gap_m
        right = Outline(name="right", border_m=((x_m, 0.0), (x_m + 1, 0.0), (x_m + 1, 0.5), (x_m, 0.5)))
        return Part(
            outlines=(left, right),
            areas=(LaminateArea(name="all", laminate=mould.laminate(), border_m=None),),
            feed_lines=(mould.feed_line("0", (0.0, 0.0), (0.0, 0.5)),),
            vents=(mould.vent("V", (x_m + 1, 0.0), (x_m + 1, 0.5)),),
        )

    touching = mould.fill(two_pieces(0.0), 0.1, *mould.open_at_start("0"))
    apart = mould.fill(two_pieces(0.1), 0.1, *mould.open_at_start("0"), longest_s=1e5)
    assert touching.run.clean
    x_m = apart.network.x_m[: apart.network.cell_count]
    arrived = np.isfinite(apart.run.arrival_s[: apart.network.cell_count])
    assert arrived[x_m < 1.0].all()
    assert not arrived[x_m > 1.1].any()


@pytest.mark.parametrize("turned_rad", [0.3, 0.6])
def test_strip_laid_askew_on_the_lattice_fills_as_one_laid_along_it(mould: Any, turned_rad: float) -> None:
    """With every border cut by the lattice, 40 cells long: 6 % (measured 3.3 and 3.7 %).

    Cells at a cut border are shorter than their neighbours but join them over a whole cell's length. Those behind the
    line close off for a moment as it fills: below two cells nothing counts.
    """
    turn = np.array([[np.cos(turned_rad), -np.sin(turned_rad)], [np.sin(turned_rad), np.cos(turned_rad)]])
    corners = [tuple(turn @ corner) for corner in ((0.0, 0.0), (1.0, 0.0), (1.0, 0.4), (0.0, 0.4))]
    part = Part(
        outlines=(Outline(name="askew", border_m=tuple(corners)),),
        areas=(LaminateArea(name="all", laminate=mould.laminate(), border_m=None),),
        feed_lines=(mould.feed_line("0", corners[0], corners[3], bore_m=0.02),),
        vents=(mould.vent("V", corners[1], corners[2]),),
    )
    askew = mould.fill(part, 1 / 40, *mould.open_at_start("0"), smallest_lock_m2=2 / 40**2)
    line, vent = (
        mould.feed_line("0", (0.0, 0.0), (0.0, 0.4), bore_m=0.02),
        mould.vent("V", (1.0, 0.0), (1.0, 0.4)),
    )
    straight = mould.fill(
        mould.panel(1.0, 0.4, mould.laminate(), (line,), (vent,)), 1 / 40, *mould.open_at_start("0")
    )
    assert askew.run.wet_out_s == pytest.approx(straight.run.wet_out_s, rel=0.06)
    assert askew.run.clean
