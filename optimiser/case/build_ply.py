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


def ply_layer(ply: PlyLayer, reinforcement: ReinforcementDocument, *, fibre_volume_percent: float) -> Layer:
    """One ply as it lies compacted."""
    fraction = fraction_from_percent(fibre_volume_percent)
    along_m2, across_m2 = _permeabilities_m2(reinforcement.permeability, fraction)
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
    )


def ratio_to_test(measured: MeasuredPermeability, *, fibre_volume_percent: float) -> float:
    """Permeability at a fibre volume content over that of the test: the ratio of (1 - Vf)^3 / Vf^2."""
    at_test = _kozeny_term(fraction_from_percent(measured.measured.at_fibre_volume_percent))
    return _kozeny_term(fraction_from_percent(fibre_volume_percent)) / at_test


def _kozeny_term(fraction: float) -> float:
    """Kozeny-Carman with everything but the fibre volume content left out; it cancels in a ratio."""
    return kozeny_carman_m2(fibre_radius_m=1.0, fibre_volume_fraction=fraction, constant=1.0)


def _permeabilities_m2(
    permeability: MeasuredPermeability | ModelledPermeability, fraction: float
) -> tuple[float, float]:
    if isinstance(permeability, MeasuredPermeability):
        ratio = ratio_to_test(permeability, fibre_volume_percent=fraction * 100.0)
        return permeability.measured.along_m2 * ratio, permeability.measured.across_m2 * ratio
    match permeability.modelled:
        case GebartLaw(fibre_radius_um=radius_um, packing=packing):
            radius_m = m_from_um(radius_um)
            return (
                gebart_along_m2(
                    fibre_radius_m=radius_m, fibre_volume_fraction=fraction, packing=Packing(packing)
                ),
                gebart_across_m2(
                    fibre_radius_m=radius_m, fibre_volume_fraction=fraction, packing=Packing(packing)
                ),
            )
        case KozenyCarmanLaw(fibre_radius_um=radius_um, constant_along=along, constant_across=across):
            radius_m = m_from_um(radius_um)
            return (
                kozeny_carman_m2(fibre_radius_m=radius_m, fibre_volume_fraction=fraction, constant=along),
                kozeny_carman_m2(fibre_radius_m=radius_m, fibre_volume_fraction=fraction, constant=across),
            )
