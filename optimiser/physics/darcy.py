"""Darcy's law: what drives the resin and how fast its front runs.

Source: Darcy 1856; hydrostatics for the head.
"""

from __future__ import annotations

from optimiser.units import STANDARD_GRAVITY_M_S2


def flux_m_s(*, permeability_m2: float, viscosity_pa_s: float, pressure_fall_pa_m: float) -> float:
    """Volume flow per area of laminate, m/s: u = (K / mu) (-dp/dx), `pressure_fall_pa_m` being -dp/dx.

    Range: creeping flow, saturated, along a principal direction. Source: Darcy 1856.
    """
    return permeability_m2 / viscosity_pa_s * pressure_fall_pa_m


def front_speed_m_s(
    *, permeability_m2: float, viscosity_pa_s: float, pressure_fall_pa_m: float, porosity: float
) -> float:
    """Speed of the flow front, m/s: the flux over the porosity, since resin moves in the pores only.

    Range: that of `flux_m_s`, porosity above 0 and at most 1; the front is sharp and leaves no pore empty behind it.
    """
    flux = flux_m_s(
        permeability_m2=permeability_m2, viscosity_pa_s=viscosity_pa_s, pressure_fall_pa_m=pressure_fall_pa_m
    )
    return flux / porosity


def head_pa(*, density_kg_m3: float, rise_m: float) -> float:
    """Pressure that a rise costs, Pa: rho g z. Range: any rise; negative downhill, where it helps."""
    return density_kg_m3 * STANDARD_GRAVITY_M_S2 * rise_m


def highest_rise_m(*, density_kg_m3: float, pressure_difference_pa: float) -> float:
    """Rise, m, at which head has used up the whole driving pressure: dP / (rho g).

    Range: density above 0.
    """
    return pressure_difference_pa / head_pa(density_kg_m3=density_kg_m3, rise_m=1.0)
