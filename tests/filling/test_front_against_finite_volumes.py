"""The moving front round a tight patch against one moved cell by cell with FiPy, a finite-volume library.

FiPy solves the pressure of the wet cells with all dry ones held at no pressure by a penalty; each round ends
when the next cell is full. Nothing is shared with the front step but the cells and the law.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from optimiser.part.part import LaminateArea

ALONG, ACROSS, CELL_M = 16, 12, 0.1
FED_M = 0.6
PATCH = ((0.5, 0.4), (0.8, 0.4), (0.8, 0.8), (0.5, 0.8))
PORE_DEPTH_M, DEPTH_M = 2.5e-3, 5e-3
SUPPLY_PA, VISCOSITY_PA_S = 9e4, 0.25
DRY = 1e6
"""How many times as open to nowhere as to its neighbour a dry cell is: 1e-6 of p stays."""


def fine_arrivals_s(cell_by_cell: Any, permeability_m2: np.ndarray) -> np.ndarray:
    """Arrival at each cell, (along, across); lower half of the left edge held at the supply pressure."""
    mesh = cell_by_cell.grid(nx=ALONG, ny=ACROSS, dx=CELL_M, dy=CELL_M)
    mobility = permeability_m2.T.ravel() * DEPTH_M / VISCOSITY_PA_S
    every = np.ones(ALONG * ACROSS)
    arrival_s: np.ndarray = cell_by_cell.arrivals_s(
        mesh,
        mobility=mobility,
        pores_m=PORE_DEPTH_M * every,
        area_m2=CELL_M**2 * every,
        fed=mesh.facesLeft & (mesh.faceCenters[1].value < FED_M),
        supply_pa=SUPPLY_PA,
        leak=DRY * float(mobility.max()) / CELL_M**2 * every,
    )
    return arrival_s.reshape(ACROSS, ALONG).T


def test_every_cell_is_reached_when_the_cell_by_cell_front_reaches_it(mould: Any, cell_by_cell: Any) -> None:
    """Fed from half an edge, round a patch ten times tighter, to the far corner: 192 cells.

    A step of the run fills 1 to 2 % of the sheet and an arrival in it is read off at an even pace:
    1 % of the whole time (measured 0.5 %). The last arrival ends a step and met to 0.1 % (measured 0.02 %).
    """
    permeability_m2 = np.full((ALONG, ACROSS), 1e-9)
    permeability_m2[5:8, 4:8] = 1e-10
    expected_s = fine_arrivals_s(cell_by_cell, permeability_m2)
    line = mould.feed_line("0", (0.0, 0.0), (0.0, FED_M), bore_m=0.02)
    patch = LaminateArea(name="tight", laminate=mould.laminate(1e-10), border_m=PATCH)
    corner = mould.vent("V", (ALONG * CELL_M, ACROSS * CELL_M))
    part = mould.panel(
        ALONG * CELL_M, ACROSS * CELL_M, mould.laminate(), (line,), (corner,), patches=(patch,)
    )
    filled = mould.fill(
        part, CELL_M, *mould.open_at_start("0"), viscosity_pa_s=VISCOSITY_PA_S, pressure_pa=SUPPLY_PA
    )
    cells = slice(0, filled.network.cell_count)
    i, j = (np.floor(place[cells] / CELL_M).astype(int) for place in (filled.network.x_m, filled.network.y_m))
    found_s = filled.run.arrival_s[cells]
    assert found_s == pytest.approx(expected_s[i, j], abs=0.01 * expected_s.max())
    assert filled.run.wet_out_s == pytest.approx(expected_s.max(), rel=1e-3)
