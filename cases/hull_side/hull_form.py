"""The demo hull: Wigley's parabolic form below the waterline, a vertical topside above it.

y = (B / 2) (1 - (2 x / L)^2) (1 - (z / T)^2), x from midship, z from the waterline (Wigley 1926, 1934;
the form is from memory). It is a published mathematical hull and nobody's boat.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

LENGTH_M: Final = 13.0
BEAM_M: Final = 1.3
DRAUGHT_M: Final = 0.65
CUT_AT_ENDS_M: Final = 0.25
"""Left off at stem and stern, where the mould has flanges."""
FREEBOARD_MIDSHIP_M: Final = 1.38
SHEER_RISE_M: Final = 0.12
"""How much higher the sheer is at both ends than at midship."""
_STEPS: Final = 2000


def half_breadth_m(x_m: float) -> float:
    """At the waterline; x from the stern."""
    return BEAM_M / 2 * (1 - (2 * x_m / LENGTH_M - 1) ** 2)


def freeboard_m(x_m: float) -> float:
    """From the waterline to the sheer."""
    return FREEBOARD_MIDSHIP_M + SHEER_RISE_M * (2 * x_m / LENGTH_M - 1) ** 2


def girth_m(x_m: float) -> float:
    """Along the skin of a station from the keel to the sheer."""
    return _bottom_girth_m(x_m, 0.0) + freeboard_m(x_m)


def height_above_keel_m(x_m: float, girth_fraction: float) -> float:
    """Height of the skin at a share of the station's girth from the keel."""
    along_m = girth_fraction * girth_m(x_m)
    bottom_m = _bottom_girth_m(x_m, 0.0)
    if along_m >= bottom_m:
        return DRAUGHT_M + along_m - bottom_m
    z_m: FloatArray = np.linspace(-DRAUGHT_M, 0.0, _STEPS)
    girths_m = np.array([_bottom_girth_m(x_m, float(z)) for z in z_m])
    return DRAUGHT_M + float(np.interp(along_m, girths_m, z_m))


def _bottom_girth_m(x_m: float, z_m: float) -> float:
    """Arc of the parabola y(z) from the keel at z = -T up to z <= 0, in closed form."""
    slope_1_m = 2 * half_breadth_m(x_m) / DRAUGHT_M**2
    return _arc_m(slope_1_m, DRAUGHT_M) - _arc_m(slope_1_m, -z_m)


def _arc_m(slope_1_m: float, depth_m: float) -> float:
    """Integral from 0 to the depth of sqrt(1 + (a u)^2) du."""
    steep = slope_1_m * depth_m
    return depth_m / 2 * float(np.hypot(1, steep)) + float(np.arcsinh(steep)) / (2 * slope_1_m)
