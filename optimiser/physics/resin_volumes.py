"""How much resin the pieces of a part take, and how much is mixed for them."""

from __future__ import annotations

import math
from collections.abc import Sequence

from optimiser.errors import OutOfRangeError
from optimiser.in_range import check_positive


def layer_resin_m3(*, area_m2: float, thickness_m: float, porosity: float) -> float:
    """Resin in a porous layer such as a flow mesh, m3: V = A h phi.

    A in m2, h in m. Range: porosity from 0 to 1, else OutOfRangeError. Source: volume balance, by definition of the
    porosity.
    """
    if not 0 <= porosity <= 1:
        raise OutOfRangeError(f"porosity lies from 0 to 1, found {porosity}")
    return thickness_m * porosity * area_m2


def stack_pore_depth_m(layers: Sequence[tuple[float, float]]) -> float:
    """Resin that a stack of layers holds per area, m3/m2: V / A = sum(h phi).

    h, m, and porosity phi of each layer. Range: any layers, not checked; all pores filled. Source: sum of the volumes.
    """
    return sum(thickness_m * porosity for thickness_m, porosity in layers)


def groove_pore_depth_m(*, width_m: float, depth_m: float, pitch_m: float) -> float:
    """Resin that parallel grooves in a core hold per area, m3/m2: d = w h / pitch.

    Width w, depth h and pitch in m. Range: pitch above 0, else OutOfRangeError, and not below the width. Where sets of
    grooves cross, the crossing is counted with each. Source: volume balance.
    """
    check_positive(pitch_m=pitch_m)
    return width_m * depth_m / pitch_m


def hole_pore_depth_m(*, diameter_m: float, pitch_m: float, depth_m: float) -> float:
    """Resin that round holes on a square grid in a core hold per area, m3/m2: d = (pi / 4) (D / pitch)^2 h.

    Diameter D, pitch and depth h, m. Range: pitch above 0, else OutOfRangeError, and not below the diameter. Source:
    volume balance.
    """
    check_positive(pitch_m=pitch_m)
    return math.pi / 4 * (diameter_m / pitch_m) ** 2 * depth_m


def reserve_kg(*, needed_kg: float, reserve_fraction: float) -> float:
    """Resin mixed beyond what is needed, kg: m_r = r m.

    m in kg, r the stated reserve, a fraction. Range: both of 0 or more, not checked. Source: by definition.
    """
    return needed_kg * reserve_fraction


def resin_to_mix_kg(*, needed_kg: float, reserve_fraction: float) -> float:
    """Resin to mix with the reserve, kg: M = m (1 + r).

    m in kg, that of all pieces of the part; r the stated reserve, a fraction. Range: both of 0 or more, not checked.
    Source: by definition.
    """
    return needed_kg + reserve_kg(needed_kg=needed_kg, reserve_fraction=reserve_fraction)
