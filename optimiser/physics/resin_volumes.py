"""How much resin the pieces of a part take, and how much is mixed for them.

Source: balance of volume, by definition of the fractions.
"""

from __future__ import annotations

from collections.abc import Sequence

from optimiser.errors import OutOfRangeError
from optimiser.in_range import check_fibre_fraction


def laminate_resin_m3(
    *, area_m2: float, areal_weight_kg_m2: float, fibre_density_kg_m3: float, fibre_volume_fraction: float
) -> float:
    """Resin in a laminate without voids, m3: A w / rho_f (1 - Vf) / Vf.

    Range: 0 < Vf <= 1, else OutOfRangeError; fibre density above 0.
    """
    check_fibre_fraction(fibre_volume_fraction)
    fibre_m3 = area_m2 * areal_weight_kg_m2 / fibre_density_kg_m3
    return fibre_m3 * (1 - fibre_volume_fraction) / fibre_volume_fraction


def layer_resin_m3(*, area_m2: float, thickness_m: float, porosity: float) -> float:
    """Resin in a porous layer such as a flow mesh, m3: A h phi. Range: porosity from 0 to 1, else OutOfRangeError."""
    if not 0 <= porosity <= 1:
        raise OutOfRangeError(f"porosity lies from 0 to 1, found {porosity}")
    return thickness_m * porosity * area_m2


def resin_to_mix_kg(*, volumes_m3: Sequence[float], resin_density_kg_m3: float, reserve_fraction: float) -> float:
    """Resin to mix, kg: rho (1 + reserve) times the sum of the volumes, with the density of the liquid.

    Range: reserve of 0 or more.
    """
    return resin_density_kg_m3 * sum(volumes_m3) * (1 + reserve_fraction)
