"""Slow flow in feed lines, hoses, gaps and grooves.

A conductance here has the viscosity taken out: flow = conductance / viscosity x pressure difference.
Source where none stands: the Hagen-Poiseuille law and plane Poiseuille flow; what follows from them is derived.
"""

from __future__ import annotations

import math

import numpy as np

from optimiser.errors import OutOfRangeError
from optimiser.in_range import check_positive


def tube_conductance_m3(*, bore_m: float, length_m: float) -> float:
    """Conductance of a round tube, m3: pi d^4 / (128 L).

    Range: fully developed laminar flow (Reynolds number below about 2000; in resin lines it is a few).
    Both lengths above 0, else OutOfRangeError. Source: Hagen-Poiseuille law.
    """
    check_positive(bore_m=bore_m, length_m=length_m)
    return tube_section_conductance_m4(bore_m=bore_m) / length_m


def tube_section_conductance_m4(*, bore_m: float) -> float:
    """Conductance of a round tube times its length, m4: pi d^4 / 128.

    Range: bore above 0, else OutOfRangeError; flow as for `tube_conductance_m3`.
    """
    check_positive(bore_m=bore_m)
    return math.pi * bore_m**4 / 128


def tube_volume_m3(*, bore_m: float, length_m: float) -> float:
    """Inner volume, m3: pi d^2 L / 4. It is filled and paid for like the part.

    Range: any bore and length.
    """
    return math.pi * bore_m**2 / 4 * length_m


def gap_permeability_m2(*, gap_m: float) -> float:
    """Permeability of a wide slit (a race track), m2: b^2 / 12.

    Range: slits far wider than the gap b, b above 0, else OutOfRangeError; beside a porous wall an upper bound.
    """
    check_positive(gap_m=gap_m)
    return gap_m**2 / 12


def rectangular_duct_conductance_m4(*, long_side_m: float, short_side_m: float) -> float:
    """Conductance of a rectangular duct times its length, m4.

    (a b^3 / 12) [1 - (192 b / (pi^5 a)) sum over odd n of tanh(n pi a / (2 b)) / n^5], a the long side. Range:
    a >= b > 0, else OutOfRangeError; laminar flow. Source: series solution of laminar duct flow (White, Viscous
    Fluid Flow, from memory). The terms left out are below 1e-12 of the sum.
    """
    if not long_side_m >= short_side_m > 0:
        raise OutOfRangeError(f"sides must be long >= short > 0, found {long_side_m} and {short_side_m} m")
    odd = np.arange(1, 1000, 2)
    series = float(np.sum(np.tanh(odd * math.pi * long_side_m / (2 * short_side_m)) / odd**5))
    wall_drag = 192 * short_side_m / (math.pi**5 * long_side_m) * series
    return long_side_m * short_side_m**3 / 12 * (1 - wall_drag)


def groove_transmissibility_m3(*, width_m: float, depth_m: float, pitch_m: float) -> float:
    """What parallel grooves in a core add to K h of the stack along themselves, m3: duct conductance over pitch.

    Leakage through the walls and grooves pinched shut are left out: an upper bound. Range: width, depth and pitch above
    0, else OutOfRangeError; a pitch not below the width. Derived from the duct's law, which stands at
    `rectangular_duct_conductance_m4`.
    """
    check_positive(pitch_m=pitch_m)
    short_m, long_m = sorted((width_m, depth_m))
    return rectangular_duct_conductance_m4(long_side_m=long_m, short_side_m=short_m) / pitch_m


def line_decay_per_m(*, bore_m: float, loss_m2: float) -> float:
    """Decay rate m, 1/m, of pressure along a line that loses resin sideways: m = sqrt(k / G).

    G = pi d^4 / 128 of the line; k (`loss_m2`) the sideways conductance per length of line, h K / x for one side wetted
    to the distance x, both sides added. Range: quasi-steady, the loss the same all along; viscosity cancels. Source:
    the fin law of heat conduction, with pressure for temperature.
    """
    return math.sqrt(loss_m2 / tube_section_conductance_m4(bore_m=bore_m))


def line_end_pressure_ratio(*, decay_per_m: float, length_m: float) -> float:
    """Driving pressure at the closed end over that at the inlet: 1 / cosh(m L).

    Range: that of `line_decay_per_m`; m L of 0 or more.
    """
    return 1 / math.cosh(decay_per_m * length_m)


def line_mean_pressure_ratio(*, decay_per_m: float, length_m: float) -> float:
    """Mean driving pressure along the line over that at the inlet: tanh(m L) / (m L); 1 for m L = 0.

    Range: that of `line_decay_per_m`.
    """
    product = decay_per_m * length_m
    return math.tanh(product) / product if product > 0 else 1.0
