"""The resin block of a case from a resin sheet: the data sheet, moved through the latest tests of one batch."""

from __future__ import annotations

from operator import attrgetter
from typing import Any

from optimiser.case.read_resin import resin_of_block
from optimiser.case.resin_sheet_document import BatchDocument, ResinSheet, ResinSheetDocument
from optimiser.case.scale_resin import (
    gel_time_ratio,
    scaled_gel_points,
    scaled_thickening,
    scaled_viscosity_points,
    viscosity_ratio,
)
from optimiser.case.unknown_name import unknown_name
from optimiser.errors import InputError

_latest = attrgetter("tested_at")


def resin_of_batch(
    sheet: ResinSheet, batch: str | None, level_percent: float
) -> tuple[dict[str, Any], tuple[str, ...]]:
    """Plain data for the resin of a case, and what was done, in sentences. Without a batch: the data sheet as it is.

    InputError for a batch that the sheet does not hold (/batch) and, with pointers under /resin, for a level or a
    scaled value outside the limits of a resin.
    """
    document = sheet.document
    said: list[str] = []
    block: dict[str, Any] = {
        "name": document.name,
        "density_kg_m3": document.density_kg_m3,
        "viscosity_points": [point.model_dump() for point in document.viscosity_points],
        "gel_time_points": [point.model_dump() for point in document.gel_time_points],
        "initiator": {"level_percent": level_percent, **document.initiator.model_dump()},
    }
    if batch is None:
        said.append("no batch is named: viscosities and gel times are those of the data sheet")
        block |= scaled_thickening(document)
    else:
        found = _batch(document, batch)
        block["batch"] = found.batch
        said += [_scale_gel_times(block, document, found), _scale_viscosities(block, document, found)]
        thickening = _thickening(document, found)
        block |= thickening
        if thickening:
            said.append("how it thickens is moved by the same ratios: as much sooner as it gels, as much thicker")
    resin_of_block(block)
    return block, tuple(said)


def _thickening(document: ResinSheetDocument, batch: BatchDocument) -> dict[str, Any]:
    """Moved by the same tests as fresh viscosity and gel time: ages as gel times, viscosities as viscosities."""
    gel_test = max(batch.gel_tests, key=_latest, default=None)
    test = max(batch.viscosity_tests, key=_latest, default=None)
    return scaled_thickening(
        document,
        gel_ratio=1.0 if gel_test is None else gel_time_ratio(document.gel_time_points, gel_test),
        viscosity_ratio=1.0 if test is None else viscosity_ratio(document.viscosity_points, test),
    )


def _batch(document: ResinSheetDocument, name: str) -> BatchDocument:
    for batch in document.batches:
        if batch.batch == name:
            return batch
    raise InputError([unknown_name("/batch", name, [batch.batch for batch in document.batches], noun="batch")])


def _scale_gel_times(block: dict[str, Any], document: ResinSheetDocument, batch: BatchDocument) -> str:
    test = max(batch.gel_tests, key=_latest, default=None)
    if test is None:
        return f"batch {batch.batch} has no gel test: gel times are those of the data sheet"
    ratio = gel_time_ratio(document.gel_time_points, test)
    block["gel_time_points"] = scaled_gel_points(document.gel_time_points, ratio)
    return (
        f"gel times are those of the data sheet times {ratio:.3g}, so that they pass through the test of batch "
        f"{batch.batch} on {test.tested_at:%Y-%m-%d}: {test.gel_time_min:g} min at {test.temperature_c:g} degrees C "
        f"with {test.initiator_percent:g} % initiator (common practice, no source)"
    )


def _scale_viscosities(block: dict[str, Any], document: ResinSheetDocument, batch: BatchDocument) -> str:
    test = max(batch.viscosity_tests, key=_latest, default=None)
    if test is None:
        return f"batch {batch.batch} has no viscosity test: viscosities are those of the data sheet"
    ratio = viscosity_ratio(document.viscosity_points, test)
    block["viscosity_points"] = scaled_viscosity_points(document.viscosity_points, ratio)
    return (
        f"viscosities are those of the data sheet times {ratio:.3g}, so that they pass through the test of batch "
        f"{batch.batch} on {test.tested_at:%Y-%m-%d}: {test.viscosity_mpa_s:g} mPa s at {test.temperature_c:g} "
        f"degrees C (common practice, no source)"
    )
