"""Two layers of a laminate one on another: what passes between them, and how far along until they agree."""

from __future__ import annotations

import math

from optimiser.in_range import check_positive


def conductance_between_m(*, permeability_through_m2: float, apart_m: float) -> float:
    """Conductance per area from the middle of one layer to the middle of the next, m, viscosity taken out: g = K / d.

    K in m2, through the thickness; d, m, between the middles. Range: both above 0, else OutOfRangeError; creeping flow,
    one K over the distance. Source: Darcy's law, Darcy 1856.
    """
    check_positive(permeability_through_m2=permeability_through_m2, apart_m=apart_m)
    return permeability_through_m2 / apart_m


def levelling_length_m(*, one_m3: float, other_m3: float, permeability_through_m2: float, apart_m: float) -> float:
    """Length, m, over which two wet layers come to one pressure: l = sqrt(T1 T2 / (T1 + T2) d / K).

    T1 and T2, m3, are K h along each; K, m2, through the thickness, d, m, between their middles. Range: K and d above
    0, else OutOfRangeError; T1 and T2 above 0, not checked; both saturated. Source: derived from T1 p1'' = (K / d) (p1
    - p2) = -T2 p2'', so the difference falls as exp(-x / l).
    """
    check_positive(permeability_through_m2=permeability_through_m2, apart_m=apart_m)
    return math.sqrt(one_m3 * other_m3 / (one_m3 + other_m3) * apart_m / permeability_through_m2)
