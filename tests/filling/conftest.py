"""A referee for fronts: cell by cell with FiPy, a finite-volume library, without a line of the front step."""

from __future__ import annotations

import warnings
from typing import Any

import numpy as np
import pytest

with warnings.catch_warnings():
    # FiPy reads names that NumPy has moved
    warnings.simplefilter("ignore", DeprecationWarning)
    import fipy


class CellByCell:
    """Pressure of the wet cells, dry ones held at none by a penalty; a round ends when the next cell is full."""

    @staticmethod
    def grid(**spacing: Any) -> Any:
        return fipy.Grid2D(**spacing)

    @staticmethod
    def arrivals_s(
        mesh: Any, *, mobility: np.ndarray, pores_m: np.ndarray, area_m2: np.ndarray, fed: Any, supply_pa: float,
        leak: np.ndarray, drained: Any = None,
    ) -> np.ndarray:  # fmt: skip
        """Arrival at each cell. drained: faces held at vacuum.

        mobility: K h / viscosity; pores_m: pore volume per area; fed: faces held at the supply pressure; leak: how
        open to nowhere a dry cell is, a million times what it is to its neighbours, so that 1e-6 of p stays.
        """
        flowing = fipy.CellVariable(mesh=mesh, value=mobility)
        pressure = fipy.CellVariable(mesh=mesh, value=0.0)
        pressure.constrain(supply_pa, fed)
        if drained is not None:
            pressure.constrain(0.0, drained)
        dry = fipy.CellVariable(mesh=mesh, value=1.0)
        flow = fipy.DiffusionTerm(coeff=flowing.harmonicFaceValue)
        steady = flow == fipy.ImplicitSourceTerm(coeff=fipy.CellVariable(mesh=mesh, value=leak) * dry)
        whole_m3 = pores_m * area_m2
        missing_m3 = whole_m3.copy()
        arrival_s, time_s = np.full(len(whole_m3), np.inf), 0.0
        while np.isinf(arrival_s).any():
            steady.solve(var=pressure)
            inflow_m3_s = np.where(dry.value > 0, leak * pressure.value * area_m2, 0.0)
            reached = inflow_m3_s > 0
            dt_s = float((missing_m3[reached] / inflow_m3_s[reached]).min())
            missing_m3 = missing_m3 - inflow_m3_s * dt_s
            time_s += dt_s
            full = (dry.value > 0) & (missing_m3 < 1e-9 * whole_m3)
            arrival_s[full] = time_s
            dry.setValue(np.where(full, 0.0, dry.value))
        return arrival_s


@pytest.fixture(scope="session")
def cell_by_cell() -> type[CellByCell]:
    return CellByCell
