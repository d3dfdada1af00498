"""A bag that gives: what lies under it is thicker and more open where resin has taken over the pressure.

Compaction pressure is atmosphere less resin pressure. The fibre is kept, so thickness goes with 1 / Vf; permeability is
k (1 - Vf)^3 / Vf^2. Continuity dh/dt = d/dx (h K / mu dp/dx) keeps one profile p(x / L) all the way, so the front still
runs with the square root of time and only the constant changes.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from optimiser.errors import OutOfRangeError

TOLERANCE = 1e-11
SLACK = 1e-6
"""By how much the bracket of the slope is wider than its bounds: at a rigid bed the two are one."""


def compacted_fibre_fraction(
    *,
    compaction_pa: float,
    reference_fibre_fraction: float,
    reference_pa: float,
    stiffening_exponent: float,
    least_fibre_fraction: float,
) -> float:
    """Fibre volume fraction under a pressure: Vf = max[Vf0 (pc / p_ref)^B, floor], pressures in Pa.

    The power law falls to nothing as the compaction pressure does, which no fabric follows: the floor is the loose
    fabric's own fraction. B = 0 is a rigid bed; negative compaction counts as none. Range: one loading or one
    unloading, over the pressures in which it was fitted; OutOfRangeError for B below 0, a reference pressure not above
    0, or fractions that are not 0 < floor <= Vf0 < 1. Source: power law of Robitaille and Gauvin, Polym. Compos.
    19:198-216, 1998 (from memory, unopened); the floor is common practice.
    """
    bed = _Bed(reference_fibre_fraction, reference_pa, stiffening_exponent, least_fibre_fraction, 1.0)
    return bed.fibre_fraction(compaction_pa)


def compliant_fill_time_s(
    *,
    length_m: float,
    viscosity_pa_s: float,
    atmosphere_pa: float,
    inlet_pa: float,
    vacuum_pa: float,
    reference_fibre_fraction: float,
    reference_pa: float,
    stiffening_exponent: float,
    least_fibre_fraction: float,
    permeability_constant_m2: float,
) -> float:
    """Time, s, for a straight front to run a length under a bag that gives: t = L^2 mu phi_f / [2 K_f (-dp/da)_front].

    phi_f and K_f are those of the dry side, under vacuum; -dp/da, Pa, is the slope at the front of the profile over a =
    x / L, as `compliant_pressure_pa` has it. Always between the times of rigid beds at the fraction of the dry side and
    of the inlet; B = 0 gives back the rigid one. Range: absolute pressures, 0 <= vacuum < inlet <= atmosphere, exponent
    of 0 or more, reference pressure above 0, 0 < floor <= Vf0 < 1, else OutOfRangeError. Source: continuity as in
    Correia et al., Composites A 36:1645-1656, 2005, and Acheson, Simacek and Advani, Composites A 35:159-169, 2004
    (both from memory, unopened); the similarity form and its solution are derived.
    """
    bed = _Bed(
        reference_fibre_fraction, reference_pa, stiffening_exponent, least_fibre_fraction, permeability_constant_m2
    )
    slope_pa, _ = _profile(bed, atmosphere_pa, inlet_pa, vacuum_pa)
    dry = bed.fibre_fraction(atmosphere_pa - vacuum_pa)
    return length_m**2 * viscosity_pa_s * (1 - dry) / (2 * bed.permeability_m2(dry) * slope_pa)


def compliant_pressure_pa(
    *,
    at_share: float,
    atmosphere_pa: float,
    inlet_pa: float,
    vacuum_pa: float,
    reference_fibre_fraction: float,
    reference_pa: float,
    stiffening_exponent: float,
    least_fibre_fraction: float,
) -> float:
    """Resin pressure, Pa absolute, at a share a of the way from inlet (0) to front (1), at any time of the run.

    It solves (h K p')' = c a h' over a, with h = 1 / Vf, K = (1 - Vf)^3 / Vf^2, Vf that of `compacted_fibre_fraction`
    under atmosphere less p, c = K_f p'(1) / phi_f, p(0) = inlet and p(1) = vacuum; the level of K drops out. Range: a
    from 0 to 1; absolute pressures, 0 <= vacuum < inlet <= atmosphere, exponent of 0 or more, reference pressure above
    0, 0 < floor <= Vf0 < 1, else OutOfRangeError. Source: continuity as in Correia et al., Composites A 36:1645-1656,
    2005 (from memory, unopened); the similarity form and its solution are derived.
    """
    bed = _Bed(reference_fibre_fraction, reference_pa, stiffening_exponent, least_fibre_fraction, 1.0)
    _, pressure_pa = _profile(bed, atmosphere_pa, inlet_pa, vacuum_pa)
    return pressure_pa(at_share)


@dataclass(frozen=True)
class _Bed:
    reference_fibre_fraction: float
    reference_pa: float
    stiffening_exponent: float
    least_fibre_fraction: float
    permeability_constant_m2: float

    def __post_init__(self) -> None:
        if not 0 < self.least_fibre_fraction <= self.reference_fibre_fraction < 1:
            raise OutOfRangeError("fibre fractions must be 0 < least <= reference < 1")
        if not (self.reference_pa > 0 and self.stiffening_exponent >= 0):
            raise OutOfRangeError("a bed needs a reference pressure above 0 and an exponent of 0 or more")

    def fibre_fraction(self, compaction_pa: float) -> float:
        share = max(compaction_pa, 0.0) / self.reference_pa
        power_law = self.reference_fibre_fraction * math.pow(share, self.stiffening_exponent)
        return max(power_law, self.least_fibre_fraction)

    def permeability_m2(self, fraction: float) -> float:
        return self.permeability_constant_m2 * (1 - fraction) ** 3 / fraction**2


@lru_cache(maxsize=16)
def _profile(
    bed: _Bed, atmosphere_pa: float, inlet_pa: float, vacuum_pa: float
) -> tuple[float, Callable[[float], float]]:
    """Slope -dp/da at the front, Pa, and the pressure over a: shot from the front until it meets the inlet.

    (h K p')' = a h' c with c = K_f p'(1) / phi_f and h = 1 / Vf. Written as w = h K p' - c a h, w' = -c h, it asks for
    no derivative of h, which grows beyond bounds where compaction ends. The slope lies between those of the rigid
    bounds.
    """
    if not 0 <= vacuum_pa < inlet_pa <= atmosphere_pa:
        raise OutOfRangeError("absolute pressures must be 0 <= vacuum < inlet <= atmosphere")
    from scipy.integrate import solve_ivp  # a second to load, and only a bag that gives needs it
    from scipy.optimize import brentq

    drive_pa = inlet_pa - vacuum_pa
    dry, wet = (bed.fibre_fraction(atmosphere_pa - pressure_pa) for pressure_pa in (vacuum_pa, inlet_pa))

    def shot(slope: float) -> Callable[[float], float]:
        """Share of the drive over a; all in parts that do not depend on the units."""
        carried = -_mobility(dry) * slope

        def change(a: float, state: NDArray[np.float64]) -> list[float]:
            fraction = bed.fibre_fraction(atmosphere_pa - vacuum_pa - state[0] * drive_pa)
            passed = _mobility(fraction) * (1 - fraction) / fraction
            return [(state[1] + carried * a / fraction) / passed, -carried / fraction]

        at_front = [0.0, carried * (1 - dry) / dry - carried / dry]
        run = solve_ivp(
            change, (1.0, 0.0), at_front, method="DOP853", rtol=TOLERANCE, atol=TOLERANCE, dense_output=True
        )
        return lambda a: float(run.sol(a)[0])

    steepest = _mobility(wet) / _mobility(dry)
    slope = float(brentq(lambda slope: shot(slope)(0.0) - 1, 1 - SLACK, steepest + SLACK, xtol=1e-15, rtol=1e-12))
    share = shot(slope)
    return slope * drive_pa, lambda a: vacuum_pa + drive_pa * share(a)


def _mobility(fraction: float) -> float:
    """Permeability over porosity, without its constant."""
    return (1 - fraction) ** 2 / fraction**2
