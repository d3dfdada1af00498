"""What a line that lies on one face of a laminate loses until resin fills its whole thickness."""

from __future__ import annotations

import math

from optimiser.in_range import check_positive


def entry_run_m(*, depth_m: float, half_width_m: float) -> float:
    """So much longer, m, is a run from a line on one face than from one that feeds the whole thickness.

    l = -(2 H / pi) ln sinh(pi b / (2 H)); where the line is narrow, l = (2 H / pi) ln(2 H / (pi b)). depth_m: H, m,
    stretched (`permeability.stretched_depth_m`); half_width_m: b, m, of what of the line lies on the laminate. Range:
    both above 0, else OutOfRangeError; runs longer than H; below 0 from b = 0.561 H on, as a wide line reaches ahead.
    Source: derived: cosh(pi z / H) maps the half strip beside the middle of the line, 0 < x, 0 < y < H, onto the half
    plane, and the line, 0 < x < b on the face, onto a plate of width 2 sinh^2(pi b / (2 H)), whose potential far away
    is known.
    """
    check_positive(depth_m=depth_m, half_width_m=half_width_m)
    lean = math.pi * half_width_m / (2 * depth_m)
    # ln sinh x = x + ln(1 - exp(-2 x)) - ln 2, which does not overflow
    return -(2 * depth_m / math.pi) * (lean + math.log1p(-math.exp(-2 * lean)) - math.log(2))
