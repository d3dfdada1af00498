"""Darcy's law: what drives the resin and how fast its front runs."""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from optimiser.units import STANDARD_GRAVITY_M_S2

Values = TypeVar("Values", float, NDArray[np.float64])


def flux_m_s(*, permeability_m2: float, viscosity_pa_s: float, pressure_fall_pa_m: float) -> float:
    """Volume flow per area of laminate, m/s: u = (K / mu) (-dp/dx).

    K in m2, mu in Pa s, `pressure_fall_pa_m` = -dp/dx in Pa/m. Range: creeping flow, saturated, along a principal
    direction. Source: Darcy's law, Darcy 1856.
    """
    return permeability_m2 / viscosity_pa_s * pressure_fall_pa_m


def front_speed_m_s(
    *, permeability_m2: float, viscosity_pa_s: float, pressure_fall_pa_m: float, porosity: float
) -> float:
    """Speed of the flow front, m/s: v = u / phi = K (-dp/dx) / (mu phi), since resin moves in the pores only.

    K in m2, mu in Pa s, -dp/dx in Pa/m. Range: porosity above 0 and at most 1, creeping flow along a principal
    direction; the front is sharp and leaves no pore empty behind it. Source: Darcy's law, Darcy 1856, and volume
    balance.
    """
    flux = flux_m_s(
        permeability_m2=permeability_m2, viscosity_pa_s=viscosity_pa_s, pressure_fall_pa_m=pressure_fall_pa_m
    )
    return flux / porosity


def head_pa(*, density_kg_m3: float, rise_m: Values) -> Values:
    """Pressure that a rise costs, Pa: p = rho g z.

    rho in kg/m3, g = 9.80665 m/s2, z in m, a number or an array. Range: any rise; negative downhill, where it helps.
    Source: hydrostatics.
    """
    return density_kg_m3 * STANDARD_GRAVITY_M_S2 * rise_m


def highest_rise_m(*, density_kg_m3: float, pressure_difference_pa: float) -> float:
    """Rise, m, at which head has used up the whole driving pressure: z = dP / (rho g).

    dP in Pa, rho in kg/m3. Range: density above 0. Source: hydrostatics.
    """
    return pressure_difference_pa / head_pa(density_kg_m3=density_kg_m3, rise_m=1.0)
