"""A bed under a bag that gives, told by its pores over those of the dry, evacuated bed: for many places at once.

With fibre kept, thickness goes with 1 / Vf, so the pore depth with e = 1 / Vf - 1 and, where permeability is
k (1 - Vf)^3 / Vf^2, permeability times thickness with e^3: one ratio e / e_dry says both. Law and sources as for
`bag_compliance`: Vf = Vf_dry (pc / pc_dry)^B and never below a floor; pc = pc_dry - p for resin at p above the vacuum.
What follows from it is derived. Range, all of them, checked by who reads the case: arguments may be arrays of one
shape: resin pressures above the vacuum, Pa; compaction of the dry bed (atmosphere less vacuum), Pa; fractions with
0 < least <= dry < 1; exponent B of 0 or more.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Values = NDArray[np.float64]


def fibre_fraction(
    resin_pa: Values, *, dry_pa: float, dry_fraction: Values, exponent: Values, least_fraction: Values
) -> Values:
    """Vf under resin at this pressure. Source and range: the power law at the head of this file."""
    left = np.maximum(1.0 - resin_pa / dry_pa, 0.0)
    return np.asarray(np.maximum(dry_fraction * left**exponent, least_fraction))


def pore_ratio(
    resin_pa: Values, *, dry_pa: float, dry_fraction: Values, exponent: Values, least_fraction: Values
) -> Values:
    """e / e_dry: 1 without resin, more where resin has taken over some of the pressure. Derived.

    Range: that of the file.
    """
    fraction = fibre_fraction(
        resin_pa, dry_pa=dry_pa, dry_fraction=dry_fraction, exponent=exponent, least_fraction=least_fraction
    )
    return np.asarray((1.0 / fraction - 1.0) / (1.0 / dry_fraction - 1.0))


def pore_ratio_slope_1_pa(
    resin_pa: Values, *, dry_pa: float, dry_fraction: Values, exponent: Values, least_fraction: Values
) -> Values:
    """d(e / e_dry) / dp = B / (Vf (pc_dry - p)) / e_dry, 1/Pa; none on the floor. Derived.

    Range: that of the file; within a millionth of pc_dry from no compaction the slope keeps its value.
    """
    fraction = fibre_fraction(
        resin_pa, dry_pa=dry_pa, dry_fraction=dry_fraction, exponent=exponent, least_fraction=least_fraction
    )
    left_pa = np.maximum(dry_pa - resin_pa, 1e-6 * dry_pa)
    slope = exponent / (fraction * left_pa) / (1.0 / dry_fraction - 1.0)
    return np.asarray(np.where(fraction > least_fraction, slope, 0.0))


def mean_mobility_ratio(
    one_pa: Values, other_pa: Values, *, dry_pa: float, dry_fraction: Values, exponent: Values, least_fraction: Values
) -> Values:
    """Mean over pressure, from one to the other, of K h over that of the dry bed: (e / e_dry)^3.

    Steady flow between two places is that mean times their difference of pressure (Kirchhoff's transform of
    div(K h(p) grad p) = 0), so with it a steady line of cells is exact however far they lie apart. The mean is taken by
    Simpson's rule: 5 % off where nearly all pressure falls between the two, 6e-5 over a twentieth of it. Derived.
    Range: that of the file.
    """
    ends = (one_pa, 0.5 * (one_pa + other_pa), other_pa)
    ratios = [
        pore_ratio(pa, dry_pa=dry_pa, dry_fraction=dry_fraction, exponent=exponent, least_fraction=least_fraction) ** 3
        for pa in ends
    ]
    return np.asarray((ratios[0] + 4.0 * ratios[1] + ratios[2]) / 6.0)
