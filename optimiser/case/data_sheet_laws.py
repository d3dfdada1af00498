"""Fresh viscosity and gel time by the points of a data sheet, in shop units."""

from __future__ import annotations

from collections.abc import Iterable

from optimiser.case.resin_document import GelTimePointDocument, ViscosityPointDocument
from optimiser.physics.gel_clock import gel_time_between_points_s
from optimiser.physics.resin_viscosity import viscosity_between_points_pa_s
from optimiser.units import fraction_from_percent, k_from_c, pa_s_from_mpa_s, s_from_min


def fresh_viscosity_pa_s(points: Iterable[ViscosityPointDocument], temperature_c: float) -> float:
    """By the points; OutOfRangeError beyond them."""
    known = ((k_from_c(p.temperature_c), pa_s_from_mpa_s(p.viscosity_mpa_s)) for p in points)
    return viscosity_between_points_pa_s(tuple(known), k_from_c(temperature_c))


def gel_time_s(points: Iterable[GelTimePointDocument], temperature_c: float, initiator_percent: float) -> float:
    """By the points; OutOfRangeError beyond their temperatures or levels."""
    known = (
        (k_from_c(p.temperature_c), fraction_from_percent(p.initiator_percent), s_from_min(p.gel_time_min))
        for p in points
    )
    return gel_time_between_points_s(
        tuple(known),
        temperature_k=k_from_c(temperature_c),
        initiator_fraction=fraction_from_percent(initiator_percent),
    )
