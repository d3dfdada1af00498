"""Slow flow in feed lines, hoses, gaps and grooves.

A conductance here has the viscosity taken out: flow = conductance / viscosity x pressure difference.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from optimiser.errors import OutOfRangeError
from optimiser.in_range import check_positive

Values = TypeVar("Values", float, NDArray[np.float64])


def tube_conductance_m3(*, bore_m: float, length_m: float) -> float:
    """Conductance of a round tube, m3, the viscosity taken out: G = pi d^4 / (128 L).

    d and L in m. Range: both above 0, else OutOfRangeError; fully developed laminar flow (Reynolds number below about
    2000; in resin lines it is a few). Source: Hagen-Poiseuille law.
    """
    check_positive(bore_m=bore_m, length_m=length_m)
    return tube_section_conductance_m4(bore_m=bore_m) / length_m


def tube_section_conductance_m4(*, bore_m: float) -> float:
    """Conductance of a round tube times its length, m4: G L = pi d^4 / 128.

    d in m. Range: bore above 0, else OutOfRangeError; fully developed laminar flow. Source: Hagen-Poiseuille law.
    """
    check_positive(bore_m=bore_m)
    return math.pi * bore_m**4 / 128


def tube_section_m2(*, bore_m: float) -> float:
    """Section inside a round tube, m2: A = pi d^2 / 4.

    d in m. Range: any bore. Source: area of a circle.
    """
    return math.pi * bore_m**2 / 4


def tube_volume_m3(*, bore_m: float, length_m: float) -> float:
    """Volume inside a round tube, m3: V = pi d^2 L / 4. It is filled and paid for like the part.

    d and L in m. Range: any bore and length. Source: volume of a cylinder.
    """
    return tube_section_m2(bore_m=bore_m) * length_m


def in_series_m3(conductances_m3: Sequence[Values]) -> Values:
    """Conductance, m3, of one way after another: 1 / G = sum of 1 / Gi; where one of them passes nothing, G = 0.

    Gi in m3, the viscosity taken out, at least one: numbers, or arrays of one shape for many such ways. Range: each 0
    or more, else OutOfRangeError; the same flow through all. Source: derived, pressure falls that add up, as
    resistances in series do.
    """
    for number, conductance_m3 in enumerate(conductances_m3, start=1):
        if not np.all(np.asarray(conductance_m3) >= 0):
            raise OutOfRangeError(f"conductance {number} is 0 or more, found {conductance_m3} m3")
    with np.errstate(divide="ignore"):
        each_1_m3 = [1 / np.asarray(conductance_m3) for conductance_m3 in conductances_m3]
        joint_m3: Values = 1 / np.sum(each_1_m3, axis=0)
    return joint_m3


def pressure_share_behind(*, feed_m3: float, drawn_m3: float) -> float:
    """Pressure that a feed leaves to what it feeds over the whole, a pure number: p_left / p = g / (g + G).

    g in m3, the feed's conductance, G in m3 that of all which draws behind it, the viscosity taken out of both. Range:
    g above 0, G of 0 or more, else OutOfRangeError. Source: derived, two resistances in series.
    """
    check_positive(feed_m3=feed_m3)
    if not drawn_m3 >= 0:
        raise OutOfRangeError(f"what draws has a conductance of 0 or more, found {drawn_m3} m3")
    return feed_m3 / (feed_m3 + drawn_m3)


def gap_permeability_m2(*, gap_m: float) -> float:
    """Permeability of a wide slit (a race track), m2: K = b^2 / 12.

    b in m. Range: b above 0, else OutOfRangeError; slits far wider than b; beside a porous wall an upper bound. Source:
    plane Poiseuille flow.
    """
    check_positive(gap_m=gap_m)
    return gap_m**2 / 12


def rectangular_duct_conductance_m4(*, long_side_m: float, short_side_m: float) -> float:
    """Conductance of a rectangular duct times its length, m4, the viscosity taken out.

    G L = (a b^3 / 12) [1 - (192 b / (pi^5 a)) sum over odd n of tanh(n pi a / (2 b)) / n^5], a the long side, b the
    short one, m. The terms left out are below 1e-12 of the sum. Range: a >= b > 0, else OutOfRangeError; laminar flow.
    Source: series solution of laminar duct flow (White, Viscous Fluid Flow, from memory).
    """
    if not long_side_m >= short_side_m > 0:
        raise OutOfRangeError(f"sides must be long >= short > 0, found {long_side_m} and {short_side_m} m")
    odd = np.arange(1, 1000, 2)
    series = float(np.sum(np.tanh(odd * math.pi * long_side_m / (2 * short_side_m)) / odd**5))
    wall_drag = 192 * short_side_m / (math.pi**5 * long_side_m) * series
    return long_side_m * short_side_m**3 / 12 * (1 - wall_drag)


def groove_transmissibility_m3(*, width_m: float, depth_m: float, pitch_m: float) -> float:
    """What parallel grooves in a core add to K h of the stack along themselves, m3: T = G L / pitch.

    G L, m4, is the duct's, `rectangular_duct_conductance_m4`; width, depth and pitch in m. Range: width, depth and
    pitch above 0, else OutOfRangeError; a pitch not below the width. Leakage through the walls and grooves pinched shut
    are left out: an upper bound. Source: derived from the duct's law.
    """
    check_positive(pitch_m=pitch_m)
    short_m, long_m = sorted((width_m, depth_m))
    return rectangular_duct_conductance_m4(long_side_m=long_m, short_side_m=short_m) / pitch_m


def bay_loss_m2(*, transmissibility_m3: float, run_m: float) -> float:
    """What a line loses sideways per length of it, m2, the viscosity taken out: k = K h / x.

    K h, m3, square to the line, x, m, the run from the line to the front. Range: K h and run above 0, else
    OutOfRangeError; a straight front along the line. Source: Darcy's law over the wetted run.
    """
    check_positive(transmissibility_m3=transmissibility_m3, run_m=run_m)
    return transmissibility_m3 / run_m


def line_decay_per_m(*, bore_m: float, loss_m2: float) -> float:
    """Decay rate, 1/m, of pressure along a line that loses resin sideways: m = sqrt(k / G), G = pi d^4 / 128.

    d in m; k = `loss_m2`, m2, the sideways conductance per length of line, `bay_loss_m2` of both sides added. Range:
    bore above 0, else OutOfRangeError; quasi-steady, the loss the same all along; viscosity cancels. Source: the fin
    law of heat conduction, with pressure for temperature.
    """
    return math.sqrt(loss_m2 / tube_section_conductance_m4(bore_m=bore_m))


def line_end_pressure_ratio(*, decay_per_m: float, length_m: float) -> float:
    """Driving pressure at the closed end over that at the inlet, a pure number: p_end / p_in = 1 / cosh(m L).

    m in 1/m, `line_decay_per_m`; L in m. Range: m L of 0 or more; quasi-steady, the loss the same all along. Source:
    the fin law of heat conduction, with pressure for temperature.
    """
    return 1 / math.cosh(decay_per_m * length_m)


def line_mean_pressure_ratio(*, decay_per_m: float, length_m: float) -> float:
    """Mean driving pressure along the line over that at the inlet: p_mean / p_in = tanh(m L) / (m L); 1 for m L = 0.

    m in 1/m, `line_decay_per_m`; L in m. Range: m L of 0 or more; quasi-steady, the loss the same all along. Source:
    the fin law of heat conduction, with pressure for temperature.
    """
    product = decay_per_m * length_m
    return math.tanh(product) / product if product > 0 else 1.0
