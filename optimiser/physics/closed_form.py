"""Fill times that have a formula: the yardsticks of the moving front.

All of them: one resin of constant viscosity, rigid laminate, sharp front, constant residual pressure at
the front. `pressure_difference_pa` is inlet minus front. Derived from Darcy's law and volume balance.
Range, where no other is said: every argument above 0, porosity at most 1, creeping flow. Arguments are checked only
where an OutOfRangeError is named.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from optimiser.errors import OutOfRangeError
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
    """Time, s, for a straight front to run a length: t = phi mu L^2 / (2 K dP). Range: that of the file."""
    return porosity * viscosity_pa_s * length_m**2 / (2 * permeability_m2 * pressure_difference_pa)


def linear_front_m(
    *,
    porosity: float,
    viscosity_pa_s: float,
    time_s: float,
    permeability_m2: float,
    pressure_difference_pa: float,
) -> float:
    """Place, m, of a straight front after a time: x = sqrt(2 K dP t / (phi mu)). Range: times of 0 or more."""
    return math.sqrt(2 * permeability_m2 * pressure_difference_pa * time_s / (porosity * viscosity_pa_s))


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

    Range: r >= r0 > 0, else OutOfRangeError. Source: derived; the case is that of Adams, Russel and Rebenfeld,
    Int. J. Multiphase Flow 14(2):203-215, 1988.
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
    """Flow, m3/s, into a round front: 2 pi K h dP / (mu ln(r / r0)).

    Range: r > r0 > 0, else OutOfRangeError; it grows beyond bounds as the front nears the inlet.
    """
    _check_radii(inlet_radius_m, front_radius_m)
    log_ratio = math.log(front_radius_m / inlet_radius_m)
    return 2 * math.pi * permeability_m2 * thickness_m * pressure_difference_pa / (viscosity_pa_s * log_ratio)


def radial_pressure_pa(
    *, at_radius_m: float, inlet_radius_m: float, front_radius_m: float, pressure_difference_pa: float
) -> float:
    """Pressure above the front's, Pa, between inlet and front: dP ln(r / at) / ln(r / r0).

    Range: r0 <= at <= r with r0 < r, radii above 0, else OutOfRangeError.
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

    The stretch x (K2 / K1)^(1/4), y (K1 / K2)^(1/4) makes it the round front in sqrt(K1 K2). Range: exact for an inlet
    that is itself an ellipse with a / b = sqrt(K1 / K2); a round inlet only tends to it. Front semi-axis not below the
    inlet's, else OutOfRangeError.
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

    Piece j adds (phi_j h_j mu / dP) [S L_j + L_j^2 / (2 h_j K_j)], S the resistance upstream per width with
    the viscosity taken out: the feed's own plus the sum of L_i / (h_i K_i). Sequences of one length. Range: feed
    resistance of 0 or more.
    """
    lengths, thicknesses = np.asarray(lengths_m), np.asarray(thicknesses_m)
    resistances_1_m2 = lengths / (thicknesses * np.asarray(permeabilities_m2))
    upstream_1_m2 = feed_resistance_1_m2 + np.cumsum(resistances_1_m2) - resistances_1_m2
    pore_areas_m2 = np.asarray(porosities) * thicknesses * lengths
    pieces_s = viscosity_pa_s / pressure_difference_pa * pore_areas_m2 * (upstream_1_m2 + resistances_1_m2 / 2)
    return tuple(float(time_s) for time_s in np.cumsum(pieces_s))


def constant_flow_fill_time_s(*, pore_volume_m3: float, flow_m3_s: float) -> float:
    """Time, s, to fill any shape at a constant flow: pore volume over flow. Range: flow above 0."""
    return pore_volume_m3 / flow_m3_s


def constant_flow_linear_pressure_pa(
    *,
    viscosity_pa_s: float,
    flow_m3_s: float,
    length_m: float,
    permeability_m2: float,
    thickness_m: float,
    width_m: float,
) -> float:
    """Pressure difference, Pa, that a constant flow asks for with the front at L: mu Q L / (K h w).

    Range: a straight front in an even sheet; lengths and flows of 0 or more.
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

    The switch is at L_s = K h w dP / (mu Q); from there the front runs at constant pressure. Range: any cap above 0;
    where the whole length is filled before the switch, both times are the fill time.
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

    t = phi mu / (K rho g sin) [a ln(a / (a - L)) - L], a = dP / (rho g sin); written here as the level time
    times 2 (-ln(1 - e) - e) / e^2 with e = L / a. Range: slopes from -pi/2 to pi/2;
    OutOfRangeError where head stops the front before L.
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
    """Time, s, of a run whose viscosity grows as exp(k t) everywhere at once: -ln(1 - k tau) / k.

    tau is the time the same run takes at the first viscosity. Range: k above 0, k tau below 1, else OutOfRangeError:
    the resin thickens too soon and the run never ends.
    """
    if not growth_1_s * constant_viscosity_time_s < 1:
        raise OutOfRangeError("the resin thickens so fast that the run never ends")
    return -math.log1p(-growth_1_s * constant_viscosity_time_s) / growth_1_s


def time_at_constant_viscosity_s(*, thickening_time_s: float, growth_1_s: float) -> float:
    """The inverse of `time_while_thickening_s`, s: tau = (1 - exp(-k t)) / k, never beyond 1 / k.

    A straight front is, after t, where it would be after tau with fresh resin. Range: k above 0, else OutOfRangeError.
    """
    if not growth_1_s > 0:
        raise OutOfRangeError(f"a growth lies above 0, found {growth_1_s} 1/s")
    return -math.expm1(-growth_1_s * thickening_time_s) / growth_1_s


def _check_radii(inner_m: float, outer_m: float) -> None:
    if not 0 < inner_m <= outer_m:
        raise OutOfRangeError(f"radii must grow outward from above 0, found {inner_m} then {outer_m} m")
