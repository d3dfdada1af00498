"""From a ply of a document to a layer in SI: thickness and permeability at its fibre volume content."""

from __future__ import annotations

import math

from optimiser.case.laminate_document import (
    GebartLaw,
    KozenyCarmanLaw,
    MeasuredPermeability,
    ModelledPermeability,
    PlyLayer,
    ReinforcementDocument,
)
from optimiser.part.laminate import Layer, LayerKind
from optimiser.physics.fibre_arithmetic import ply_thickness_m
from optimiser.physics.permeability import Packing, gebart_across_m2, gebart_along_m2, kozeny_carman_m2
from optimiser.units import fraction_from_percent, kg_m2_from_g_m2, m_from_um

THROUGH_SHARE = 0.01
"""Stands in for permeability through the thickness over the smaller one in the plane, where no test gives it. Published
tests put it one to two powers of ten lower (from memory); the slow end of that range makes resin soak down late."""


def ply_layer(ply: PlyLayer, reinforcement: ReinforcementDocument, *, fibre_volume_percent: float) -> Layer:
    """One ply as it lies compacted."""
    fraction = fraction_from_percent(fibre_volume_percent)
    along_m2, across_m2, through_m2 = _permeabilities_m2(reinforcement.permeability, fraction)
    fibre_kg_m2 = kg_m2_from_g_m2(reinforcement.areal_weight_g_m2)
    return Layer(
        name=ply.ply,
        kind=LayerKind.REINFORCEMENT,
        thickness_m=ply_thickness_m(
            areal_weight_kg_m2=fibre_kg_m2,
            fibre_density_kg_m3=reinforcement.fibre_density_kg_m3,
            fibre_volume_fraction=fraction,
        ),
        porosity=1.0 - fraction,
        permeability_along_m2=along_m2,
        permeability_across_m2=across_m2,
        angle_rad=math.radians(ply.angle_deg),
        fibre_mass_kg_m2=fibre_kg_m2,
        permeability_through_m2=through_m2,
    )


def ratio_to_test(measured: MeasuredPermeability, *, fibre_volume_percent: float) -> float:
    """Permeability at a fibre volume content over that of the test: the ratio of (1 - Vf)^3 / Vf^2."""
    at_test = _kozeny_term(fraction_from_percent(measured.measured.at_fibre_volume_percent))
    return _kozeny_term(fraction_from_percent(fibre_volume_percent)) / at_test


def _kozeny_term(fraction: float) -> float:
    """Kozeny-Carman with everything but the fibre volume content left out; it cancels in a ratio."""
    return kozeny_carman_m2(fibre_radius_m=1.0, fibre_volume_fraction=fraction, constant=1.0)


def through_of_test_m2(measured: MeasuredPermeability) -> float:
    """Permeability through the thickness at the fibre volume content of the test: as measured, else as assumed."""
    values = measured.measured
    return THROUGH_SHARE * min(values.along_m2, values.across_m2) if values.through_m2 is None else values.through_m2


def _permeabilities_m2(
    permeability: MeasuredPermeability | ModelledPermeability, fraction: float
) -> tuple[float, float, float]:
    """Along, across and through. The laws are those of parallel fibres: through is as across."""
    if isinstance(permeability, MeasuredPermeability):
        values, ratio = permeability.measured, ratio_to_test(permeability, fibre_volume_percent=fraction * 100.0)
        return values.along_m2 * ratio, values.across_m2 * ratio, through_of_test_m2(permeability) * ratio
    along_m2, across_m2 = _modelled_m2(permeability.modelled, fraction)
    return along_m2, across_m2, across_m2


def _modelled_m2(law: GebartLaw | KozenyCarmanLaw, fraction: float) -> tuple[float, float]:
    radius_m = m_from_um(law.fibre_radius_um)
    match law:
        case GebartLaw(packing=packing):
            fibres = {"fibre_radius_m": radius_m, "fibre_volume_fraction": fraction}
            packed = Packing(packing)
            return gebart_along_m2(**fibres, packing=packed), gebart_across_m2(**fibres, packing=packed)
        case KozenyCarmanLaw(constant_along=along, constant_across=across):
            return (
                kozeny_carman_m2(fibre_radius_m=radius_m, fibre_volume_fraction=fraction, constant=along),
                kozeny_carman_m2(fibre_radius_m=radius_m, fibre_volume_fraction=fraction, constant=across),
            )
