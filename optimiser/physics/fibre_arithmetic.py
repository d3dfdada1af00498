"""Fibre, resin and thickness of a laminate without voids."""

from __future__ import annotations

from optimiser.in_range import check_fibre_fraction, check_positive

ISO_12215_5_FIBRE_KG_M3 = 2560.0
ISO_12215_5_RESIN_KG_M3 = 1200.0


def ply_thickness_m(*, areal_weight_kg_m2: float, fibre_density_kg_m3: float, fibre_volume_fraction: float) -> float:
    """Thickness, m, of a compacted ply: t = w / (rho_f Vf). Several fibres: add the thicknesses.

    w in kg/m2, rho_f in kg/m3. Range: 0 < Vf <= 1, else OutOfRangeError; density above 0, not checked; no voids.
    Source: balance of mass and volume, by definition of the fractions.
    """
    check_fibre_fraction(fibre_volume_fraction)
    return areal_weight_kg_m2 / (fibre_density_kg_m3 * fibre_volume_fraction)


def fibre_volume_fraction_from_mass(
    *, fibre_mass_fraction: float, fibre_density_kg_m3: float, resin_density_kg_m3: float
) -> float:
    """Fibre by volume, a fraction: Vf = (psi / rho_f) / (psi / rho_f + (1 - psi) / rho_r).

    psi is the fibre content by mass, densities in kg/m3, that of the cured resin. Range: 0 < psi <= 1, else
    OutOfRangeError; densities above 0, not checked; no voids. Source: balance of mass and volume, by definition of the
    fractions.
    """
    check_fibre_fraction(fibre_mass_fraction)
    fibre_m3_kg = fibre_mass_fraction / fibre_density_kg_m3
    resin_m3_kg = (1 - fibre_mass_fraction) / resin_density_kg_m3
    return fibre_m3_kg / (fibre_m3_kg + resin_m3_kg)


def fibre_mass_fraction_from_volume(
    *, fibre_volume_fraction: float, fibre_density_kg_m3: float, resin_density_kg_m3: float
) -> float:
    """Fibre by mass, a fraction: psi = Vf rho_f / (Vf rho_f + (1 - Vf) rho_r).

    Densities in kg/m3, that of the cured resin. Range: 0 < Vf <= 1, else OutOfRangeError; densities above 0, not
    checked; no voids. Source: balance of mass and volume, by definition of the fractions.
    """
    check_fibre_fraction(fibre_volume_fraction)
    fibre_kg_m3 = fibre_volume_fraction * fibre_density_kg_m3
    resin_kg_m3 = (1 - fibre_volume_fraction) * resin_density_kg_m3
    return fibre_kg_m3 / (fibre_kg_m3 + resin_kg_m3)


def fibre_fraction_when_thicker(*, fibre_volume_fraction: float, thickness_m: float, grown_m: float) -> float:
    """Fibre volume fraction of a ply stack that has grown: Vf' = Vf h / (h + dh).

    h and dh in m, Vf of the stack at h. Range: Vf above 0 and at most 1, h + dh above 0, else OutOfRangeError; the
    fibre stays in it. Source: volume of the fibre, which does not change.
    """
    check_fibre_fraction(fibre_volume_fraction)
    check_positive(thickness_m=thickness_m + grown_m)
    return fibre_volume_fraction * thickness_m / (thickness_m + grown_m)


def resin_kg_m2(*, thickness_m: float, fibre_volume_fraction: float, resin_density_kg_m3: float) -> float:
    """Resin in a laminate per area, kg/m2: m = t (1 - Vf) rho_r.

    t in m, rho_r in kg/m3: the liquid's for resin to buy. Range: 0 < Vf <= 1, else OutOfRangeError; thickness of 0 or
    more, no voids. Source: balance of mass and volume, by definition of the fractions.
    """
    check_fibre_fraction(fibre_volume_fraction)
    return thickness_m * (1 - fibre_volume_fraction) * resin_density_kg_m3


def iso_12215_5_thickness_m(*, fibre_kg_m2: float, fibre_mass_fraction: float) -> float:
    """Thickness, m, of a glass laminate as ISO 12215-5 reckons it: t = (w / 3.072)(2.56 / psi - 1.36) mm.

    w in kg/m2, psi the glass content by mass. It is the sum of fibre and resin volume with densities 2560 and 1200
    kg/m3 and no voids, and is written so here. Range: 0 < psi <= 1, else OutOfRangeError; glass in polyester. Source:
    ISO 12215-5, formula from memory, clause not opened; that both forms are the same is algebra.
    """
    check_fibre_fraction(fibre_mass_fraction)
    resin_per_fibre = (1 - fibre_mass_fraction) / fibre_mass_fraction
    return fibre_kg_m2 * (1 / ISO_12215_5_FIBRE_KG_M3 + resin_per_fibre / ISO_12215_5_RESIN_KG_M3)
