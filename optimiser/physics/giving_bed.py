"""A bed under a bag that gives, told by its pores over those of the dry, evacuated bed: for many places at once.

With fibre kept, thickness goes with 1 / Vf, so the pore depth with e = 1 / Vf - 1 and, where permeability is
k (1 - Vf)^3 / Vf^2, permeability times thickness with e^3: one ratio e / e_dry says both. Who reads the case checks it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Values = NDArray[np.float64]


def fibre_fraction(
    resin_pa: Values, *, dry_pa: float, dry_fraction: Values, exponent: Values, least_fraction: Values
) -> Values:
    """Fibre volume fraction under resin: Vf = max[Vf_dry (1 - p / pc_dry)^B, least].

    p = `resin_pa`, resin pressure above the vacuum, and pc_dry = `dry_pa`, compaction of the dry bed (atmosphere less
    vacuum), in Pa; arrays of one shape. Range: 0 < least <= dry < 1, B of 0 or more, p of 0 or more, not checked; from
    p = pc_dry on the bed is on its floor. Source: power law of Robitaille and Gauvin, Polym. Compos. 19:198-216, 1998
    (from memory, unopened), taken at the dry bed.
    """
    left = np.maximum(1.0 - resin_pa / dry_pa, 0.0)
    return np.asarray(np.maximum(dry_fraction * left**exponent, least_fraction))


def pore_ratio(
    resin_pa: Values, *, dry_pa: float, dry_fraction: Values, exponent: Values, least_fraction: Values
) -> Values:
    """Pore depth over that of the dry bed, a pure number: e / e_dry, e = 1 / Vf - 1.

    1 without resin, more where resin has taken over some of the pressure; Vf and arguments as in `fibre_fraction`,
    pressures in Pa, arrays of one shape. Range: 0 < least <= dry < 1, B of 0 or more, p of 0 or more, not checked.
    Source: derived from the power law, the fibre kept.
    """
    fraction = fibre_fraction(
        resin_pa, dry_pa=dry_pa, dry_fraction=dry_fraction, exponent=exponent, least_fraction=least_fraction
    )
    return np.asarray((1.0 / fraction - 1.0) / (1.0 / dry_fraction - 1.0))


def pore_ratio_slope_1_pa(
    resin_pa: Values, *, dry_pa: float, dry_fraction: Values, exponent: Values, least_fraction: Values
) -> Values:
    """Slope of the pore ratio over pressure, 1/Pa: d(e / e_dry) / dp = B / (Vf (pc_dry - p) e_dry); none on the floor.

    Vf and arguments as in `fibre_fraction`, pressures in Pa, arrays of one shape. Range: 0 < least <= dry < 1, B of 0
    or more, p of 0 or more, not checked; within a millionth of pc_dry from no compaction the slope keeps its value.
    Source: derived, the derivative of `pore_ratio`.
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
    """Mean over pressure of K h over that of the dry bed: m = integral of (e / e_dry)^3 dp / (p_one - p_other).

    A pure number; steady flow between two places is it times their difference of pressure (Kirchhoff's transform of
    div(K h(p) grad p) = 0), so with it a steady line of cells is exact however far they lie apart. By Simpson's rule: 5
    % off where nearly all pressure falls between the two, 6e-5 over a twentieth of it. e, pressures in Pa and the other
    arguments as in `pore_ratio`, arrays of one shape. Range: 0 < least <= dry < 1, B of 0 or more, p of 0 or more, not
    checked. Source: derived, for K = k (1 - Vf)^3 / Vf^2 and h as 1 / Vf.
    """
    ends = (one_pa, 0.5 * (one_pa + other_pa), other_pa)
    ratios = [
        pore_ratio(pa, dry_pa=dry_pa, dry_fraction=dry_fraction, exponent=exponent, least_fraction=least_fraction) ** 3
        for pa in ends
    ]
    return np.asarray((ratios[0] + 4.0 * ratios[1] + ratios[2]) / 6.0)
