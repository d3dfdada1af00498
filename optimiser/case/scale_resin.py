"""A data sheet's curve, moved through what the shop's own test of a batch found (common practice, no source).

The whole curve is multiplied by test over data sheet, so its slope with temperature and level stays the data sheet's.
"""

from __future__ import annotations

import math
from typing import Any, Final

from optimiser.case.data_sheet_laws import fresh_viscosity_pa_s, gel_time_s
from optimiser.case.document_shape import DocumentShape
from optimiser.case.resin_document import (
    LEAST_GEL_MIN,
    MOST_GEL_MIN,
    DataSheetTemperature,
    DataSheetViscosity,
    GelTime,
    GelTimePointDocument,
    InitiatorPercent,
    ViscosityPointDocument,
)
from optimiser.case.thickening_document import Thickening
from optimiser.physics.cure_kinetics import factor_at_gel_ratio_1_s
from optimiser.units import pa_s_from_mpa_s, s_from_min


class GelTestDocument(DocumentShape):
    """A gel test of the shop: one batch, one temperature, one level of initiator."""

    temperature_c: DataSheetTemperature
    initiator_percent: InitiatorPercent
    gel_time_min: GelTime


class ViscosityTestDocument(DocumentShape):
    """A viscosity of the mixed resin, fresh, that the shop measured."""

    temperature_c: DataSheetTemperature
    viscosity_mpa_s: DataSheetViscosity


_ROUND_OFF: Final = 1e-9
FAR_OFF: Final = 3.0
"""Gel times of one kind of resin seldom differ by more from one day to the next: rather a slip of the pen or a unit.
Common practice, no source."""


def doubt(gel_ratio: float, viscosity_ratio: float = 1.0) -> str | None:
    """That a test is far off what it moves; None: it is not."""
    found = [
        *([f"gel comes after {gel_ratio:.2g} times as long; was it minutes, this resin?"] if _far(gel_ratio) else []),
        *([f"it is {viscosity_ratio:.2g} times as thick; was it mPa s, fresh?"] if _far(viscosity_ratio) else []),
    ]
    return f"CHECK THE TEST of the resin against its data sheet: {' '.join(found)}" if found else None


def _far(ratio: float) -> bool:
    return not 1 / FAR_OFF <= ratio <= FAR_OFF


def gel_time_ratio(points: tuple[GelTimePointDocument, ...], test: GelTestDocument) -> float:
    """Tested gel time over that of the points. OutOfRangeError for a test beyond the points."""
    expected_s = gel_time_s(points, test.temperature_c, test.initiator_percent)
    return s_from_min(test.gel_time_min) / expected_s


def viscosity_ratio(points: tuple[ViscosityPointDocument, ...], test: ViscosityTestDocument) -> float:
    """Tested viscosity over that of the points. OutOfRangeError for a test beyond the points."""
    return pa_s_from_mpa_s(test.viscosity_mpa_s) / fresh_viscosity_pa_s(points, test.temperature_c)


def scaled_thickening(
    resin: Thickening, *, gel_ratio: float = 1.0, viscosity_ratio: float = 1.0
) -> dict[str, Any]:
    """What a resin says of its thickening, as plain data: it thickens as much sooner as it gels sooner."""
    block: dict[str, Any] = {}
    table, law, cure = resin.viscosity_with_age, resin.thickening_law, resin.cure_law
    if table is not None:
        points = [
            {"age_min": gel_ratio * point.age_min, "viscosity_mpa_s": viscosity_ratio * point.viscosity_mpa_s}
            for point in table.points
        ]
        block["viscosity_with_age"] = {**table.model_dump(), "points": points}
    if law is not None:
        block["thickening_law"] = {
            **law.model_dump(),
            "cure_factor_per_s": factor_at_gel_ratio_1_s(factor_1_s=law.cure_factor_per_s, gel_ratio=gel_ratio),
            "fitted_to_mpa_s": viscosity_ratio * law.fitted_to_mpa_s,
        }
    if cure is not None:
        block["cure_law"] = {
            **cure.model_dump(),
            "first_factor_per_s": factor_at_gel_ratio_1_s(factor_1_s=cure.first_factor_per_s, gel_ratio=gel_ratio),
            "second_factor_per_s": factor_at_gel_ratio_1_s(factor_1_s=cure.second_factor_per_s, gel_ratio=gel_ratio),
            "fitted_to_mpa_s": viscosity_ratio * cure.fitted_to_mpa_s,
        }
    return block


def scaled_gel_points(points: tuple[GelTimePointDocument, ...], ratio: float) -> list[dict[str, float]]:
    """As plain data: the scaled values are yet to be checked against the limits of a resin."""
    return [{**point.model_dump(), "gel_time_min": _at_limit(ratio * point.gel_time_min)} for point in points]


def _at_limit(gel_time_min: float) -> float:
    """A test at the very limit scales its own point to it but for rounding."""
    limits_min = (LEAST_GEL_MIN, MOST_GEL_MIN)
    return next((one for one in limits_min if math.isclose(gel_time_min, one, rel_tol=_ROUND_OFF)), gel_time_min)


def scaled_viscosity_points(points: tuple[ViscosityPointDocument, ...], ratio: float) -> list[dict[str, float]]:
    """As plain data: the scaled values are yet to be checked against the limits of a resin."""
    return [{**point.model_dump(), "viscosity_mpa_s": ratio * point.viscosity_mpa_s} for point in points]
