"""Fill times that have a formula: the yardsticks of the moving front.

All of them: one resin of constant viscosity, rigid laminate, sharp front, constant residual pressure at
the front. `pressure_difference_pa` is inlet minus front. Arguments are checked only where an OutOfRangeError is named.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from optimiser.errors import OutOfRangeError
from optimiser.in_range import check_positive
from optimiser.physics.darcy import head_pa

SMALL_HEAD_SHARE = 1e-4
"""Below this the logarithm of the gravity law loses more digits than its series leaves out."""


def linear_fill_time_s(
    *,
    porosity: float,
    viscosity_pa_s: float,
    length_m: float,
    permeability_m2: float,
    pressure_difference_pa: float,
) -> float:
    """Time, s, for a straight front to run a length: t = phi mu L^2 / (2 K dP).

    mu in Pa s, L in m, K in m2, dP in Pa. Range: every argument above 0, porosity at most 1, creeping flow, not
    checked. Source: derived from Darcy's law and volume balance.
    """
    return porosity * viscosity_pa_s * length_m**2 / (2 * permeability_m2 * pressure_difference_pa)


def linear_front_m(
    *,
    porosity: float,
    viscosity_pa_s: float,
    time_s: float,
    permeability_m2: float,
    pressure_difference_pa: float,
) -> float:
    """Place, m, of a straight front after a time: x = sqrt(2 K dP t / (phi mu)).

    K in m2, dP in Pa, t in s, mu in Pa s. Range: times of 0 or more, else every argument above 0, porosity at most 1,
    creeping flow, not checked. Source: derived from Darcy's law and volume balance.
    """
    return math.sqrt(2 * permeability_m2 * pressure_difference_pa * time_s / (porosity * viscosity_pa_s))


def pore_fill_time_s(
    *, pore_volume_m3: float, conductance_m3: float, viscosity_pa_s: float, pressure_difference_pa: float
) -> float:
    """Time, s, for resin to fill pores through the conductance from one end to the other: t = V mu / (2 G dP).

    V in m3, mu in Pa s, G = K h w / L in m3, dP in Pa: the straight front's phi mu L^2 / (2 K dP) with V = phi h w L.
    Range: every argument above 0, not checked; exact for a strip, an estimate for any other shape. Source: derived from
    Darcy's law and volume balance.
    """
    return pore_volume_m3 * viscosity_pa_s / (2 * conductance_m3 * pressure_difference_pa)


def run_within_m(*, run_m: float, run_time_s: float, within_s: float) -> float:
    """Run, m, of a straight front that has another time: x2 = x1 sqrt(t2 / t1).

    x1 = `run_m` in m is reached at t1 = `run_time_s`; t2 = `within_s`, s. Range: t1 above 0, t2 of 0 or more, not
    checked; one even laminate, constant viscosity and pressure, nothing lost on the way in. Source: derived from
    Darcy's law and volume balance.
    """
    return run_m * math.sqrt(within_s / run_time_s)


def time_at_viscosity_s(*, time_s: float, viscosity_pa_s: float, other_pa_s: float) -> float:
    """Time, s, of the same flow with another resin: t' = t mu' / mu.

    t in s at mu, mu and mu' in Pa s. Range: viscosities above 0, else OutOfRangeError; one viscosity all over and all
    along, the same pressures, nothing by the clock. Source: Darcy's law, in which time stands over viscosity alone.
    """
    check_positive(viscosity_pa_s=viscosity_pa_s, other_pa_s=other_pa_s)
    return time_s * other_pa_s / viscosity_pa_s


def radial_fill_time_s(
    *,
    porosity: float,
    viscosity_pa_s: float,
    inlet_radius_m: float,
    front_radius_m: float,
    permeability_m2: float,
    pressure_difference_pa: float,
) -> float:
    """Time, s, for a round front to grow: t = phi mu / (4 K dP) [r^2 (2 ln(r / r0) - 1) + r0^2].

    mu in Pa s, radii in m, K in m2, dP in Pa. Range: r >= r0 > 0, else OutOfRangeError; creeping flow. Source: derived
    from Darcy's law and volume balance; the case is that of Adams, Russel and Rebenfeld, Int. J. Multiphase Flow
    14(2):203-215, 1988.
    """
    _check_radii(inlet_radius_m, front_radius_m)
    shape_m2 = front_radius_m**2 * (2 * math.log(front_radius_m / inlet_radius_m) - 1) + inlet_radius_m**2
    return porosity * viscosity_pa_s * shape_m2 / (4 * permeability_m2 * pressure_difference_pa)


def radial_inflow_m3_s(
    *,
    viscosity_pa_s: float,
    inlet_radius_m: float,
    front_radius_m: float,
    thickness_m: float,
    permeability_m2: float,
    pressure_difference_pa: float,
) -> float:
    """Flow, m3/s, into a round front: Q = 2 pi K h dP / (mu ln(r / r0)).

    mu in Pa s, radii and thickness h in m, K in m2, dP in Pa. Range: r > r0 > 0, OutOfRangeError for r < r0 or a radius
    not above 0; it grows beyond bounds as the front nears the inlet. Source: derived from Darcy's law and volume
    balance.
    """
    _check_radii(inlet_radius_m, front_radius_m)
    log_ratio = math.log(front_radius_m / inlet_radius_m)
    return 2 * math.pi * permeability_m2 * thickness_m * pressure_difference_pa / (viscosity_pa_s * log_ratio)


def radial_pressure_pa(
    *, at_radius_m: float, inlet_radius_m: float, front_radius_m: float, pressure_difference_pa: float
) -> float:
    """Pressure above the front's, Pa, between inlet and front: p = dP ln(r / at) / ln(r / r0).

    Radii in m, dP in Pa. Range: r0 <= at <= r with r0 < r, radii above 0, else OutOfRangeError. Source: derived from
    Darcy's law and volume balance.
    """
    _check_radii(inlet_radius_m, at_radius_m)
    _check_radii(at_radius_m, front_radius_m)
    log_ratio = math.log(front_radius_m / at_radius_m) / math.log(front_radius_m / inlet_radius_m)
    return pressure_difference_pa * log_ratio


def elliptical_fill_time_s(
    *,
    porosity: float,
    viscosity_pa_s: float,
    inlet_semi_axis_along_m: float,
    front_semi_axis_along_m: float,
    permeability_along_m2: float,
    permeability_across_m2: float,
    pressure_difference_pa: float,
) -> float:
    """Time, s, for an elliptical front in an anisotropic sheet, semi-axes a along and b across.

    The stretch x' = x (K2 / K1)^(1/4), y' = y (K1 / K2)^(1/4) makes it the round front of `radial_fill_time_s` in
    sqrt(K1 K2); mu in Pa s, semi-axes in m, K in m2, dP in Pa. Range: exact for an inlet that is itself an ellipse with
    a / b = sqrt(K1 / K2), to which a round inlet only tends; front semi-axis not below the inlet's, else
    OutOfRangeError. Source: derived; the case is that of Adams, Russel and Rebenfeld, Int. J. Multiphase Flow
    14(2):203-215, 1988.
    """
    stretch = math.pow(permeability_across_m2 / permeability_along_m2, 0.25)
    return radial_fill_time_s(
        porosity=porosity,
        viscosity_pa_s=viscosity_pa_s,
        inlet_radius_m=inlet_semi_axis_along_m * stretch,
        front_radius_m=front_semi_axis_along_m * stretch,
        permeability_m2=math.sqrt(permeability_along_m2 * permeability_across_m2),
        pressure_difference_pa=pressure_difference_pa,
    )


def series_fill_times_s(
    *,
    lengths_m: Sequence[float],
    thicknesses_m: Sequence[float],
    porosities: Sequence[float],
    permeabilities_m2: Sequence[float],
    viscosity_pa_s: float,
    pressure_difference_pa: float,
    feed_resistance_1_m2: float = 0.0,
) -> tuple[float, ...]:
    """Times, s, at which a straight front leaves each of the pieces one behind another.

    Piece j adds dt_j = (phi_j h_j mu / dP) [S L_j + L_j^2 / (2 h_j K_j)], S, 1/m2, the resistance upstream per width
    with the viscosity taken out: the feed's own plus the sum of L_i / (h_i K_i). Lengths and thicknesses in m, K in m2,
    mu in Pa s, dP in Pa; sequences of one length. Range: feed resistance of 0 or more, all else above 0, not checked.
    Source: derived from Darcy's law piece by piece.
    """
    lengths, thicknesses = np.asarray(lengths_m), np.asarray(thicknesses_m)
    resistances_1_m2 = lengths / (thicknesses * np.asarray(permeabilities_m2))
    upstream_1_m2 = feed_resistance_1_m2 + np.cumsum(resistances_1_m2) - resistances_1_m2
    pore_areas_m2 = np.asarray(porosities) * thicknesses * lengths
    pieces_s = viscosity_pa_s / pressure_difference_pa * pore_areas_m2 * (upstream_1_m2 + resistances_1_m2 / 2)
    return tuple(float(time_s) for time_s in np.cumsum(pieces_s))


def constant_flow_fill_time_s(*, pore_volume_m3: float, flow_m3_s: float) -> float:
    """Time, s, to fill any shape at a constant flow: t = V / Q.

    Pore volume V in m3, Q in m3/s. Range: flow above 0, not checked. Source: volume balance.
    """
    return pore_volume_m3 / flow_m3_s


def constant_flow_volume_m3(*, flow_m3_s: float, within_s: float) -> float:
    """Volume, m3, that a constant flow gives within a time: V = Q t.

    Q in m3/s, t in s. Range: flows and times of 0 or more, not checked. Source: volume balance.
    """
    return flow_m3_s * within_s


def constant_flow_linear_pressure_pa(
    *,
    viscosity_pa_s: float,
    flow_m3_s: float,
    length_m: float,
    permeability_m2: float,
    thickness_m: float,
    width_m: float,
) -> float:
    """Pressure difference, Pa, that a constant flow asks for with the front at L: dP = mu Q L / (K h w).

    mu in Pa s, Q in m3/s, L, h and w in m, K in m2. Range: a straight front in an even sheet; lengths and flows of 0 or
    more. Source: Darcy's law, Darcy 1856.
    """
    return viscosity_pa_s * flow_m3_s * length_m / (permeability_m2 * thickness_m * width_m)


def flow_then_pressure_fill_time_s(
    *,
    porosity: float,
    viscosity_pa_s: float,
    length_m: float,
    permeability_m2: float,
    thickness_m: float,
    width_m: float,
    flow_m3_s: float,
    pressure_difference_pa: float,
) -> tuple[float, float]:
    """Switch and fill time, s, of a straight front fed at a flow cap until the pressure cap binds.

    The switch is at L_s = K h w dP / (mu Q) and t_s = phi h w L_s / Q; the front is at L at t = t_s + phi mu (L^2 -
    L_s^2) / (2 K dP). mu in Pa s, lengths in m, K in m2, Q in m3/s, dP in Pa. Range: any cap above 0; where the whole
    length is filled before the switch, both times are the fill time. Source: derived from Darcy's law and volume
    balance.
    """
    section_m2 = thickness_m * width_m
    switch_m = min(length_m, permeability_m2 * section_m2 * pressure_difference_pa / (viscosity_pa_s * flow_m3_s))
    switch_s = constant_flow_fill_time_s(pore_volume_m3=porosity * section_m2 * switch_m, flow_m3_s=flow_m3_s)
    rest_s = porosity * viscosity_pa_s * (length_m**2 - switch_m**2) / (2 * permeability_m2 * pressure_difference_pa)
    return switch_s, switch_s + rest_s


def inclined_fill_time_s(
    *,
    porosity: float,
    viscosity_pa_s: float,
    length_m: float,
    permeability_m2: float,
    pressure_difference_pa: float,
    density_kg_m3: float,
    slope_rad: float,
) -> float:
    """Time, s, for a straight front up (slope above 0) or down (below 0) an incline.

    t = phi mu / (K rho g sin) [a ln(a / (a - L)) - L], a = dP / (rho g sin), m; written here as the level time times 2
    (-ln(1 - e) - e) / e^2 with e = L / a. mu in Pa s, L in m, K in m2, dP in Pa, rho in kg/m3. Range: slopes from -pi/2
    to pi/2; OutOfRangeError where head stops the front before L. Source: derived from Darcy's law with p + rho g z.
    """
    level_s = linear_fill_time_s(
        porosity=porosity,
        viscosity_pa_s=viscosity_pa_s,
        length_m=length_m,
        permeability_m2=permeability_m2,
        pressure_difference_pa=pressure_difference_pa,
    )
    rise_m = length_m * math.sin(slope_rad)
    head_share = head_pa(density_kg_m3=density_kg_m3, rise_m=rise_m) / pressure_difference_pa
    if not head_share < 1:
        raise OutOfRangeError(f"the front stops before {rise_m:.3f} m of rise: head is all of the pressure")
    if abs(head_share) < SMALL_HEAD_SHARE:
        return level_s * (1 + 2 * head_share / 3 + head_share**2 / 2)
    return level_s * 2 * (-math.log1p(-head_share) - head_share) / head_share**2


def time_while_thickening_s(*, constant_viscosity_time_s: float, growth_1_s: float) -> float:
    """Time, s, of a run whose viscosity grows as exp(k t) everywhere at once: t = -ln(1 - k tau) / k.

    tau, s, is the time the same run takes at the first viscosity; k in 1/s. Range: k above 0, k tau below 1, else
    OutOfRangeError: the resin thickens too soon and the run never ends. Source: derived, integral of exp(-k t).
    """
    if not growth_1_s * constant_viscosity_time_s < 1:
        raise OutOfRangeError("the resin thickens so fast that the run never ends")
    return -math.log1p(-growth_1_s * constant_viscosity_time_s) / growth_1_s


def time_at_constant_viscosity_s(*, thickening_time_s: float, growth_1_s: float) -> float:
    """The inverse of `time_while_thickening_s`, s: tau = (1 - exp(-k t)) / k, never beyond 1 / k.

    A straight front is, after t, s, where it would be after tau with fresh resin; k in 1/s. Range: k above 0, else
    OutOfRangeError; times of 0 or more. Source: derived, integral of exp(-k t).
    """
    if not growth_1_s > 0:
        raise OutOfRangeError(f"a growth lies above 0, found {growth_1_s} 1/s")
    return -math.expm1(-growth_1_s * thickening_time_s) / growth_1_s


def _check_radii(inner_m: float, outer_m: float) -> None:
    if not 0 < inner_m <= outer_m:
        raise OutOfRangeError(f"radii must grow outward from above 0, found {inner_m} then {outer_m} m")
