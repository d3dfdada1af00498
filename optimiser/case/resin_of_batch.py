"""The resin block of a case from a resin sheet: the data sheet, moved through the latest tests of one batch."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from operator import attrgetter
from typing import Any

from optimiser.case.pointer import pointer
from optimiser.case.read_resin import resin_of_block
from optimiser.case.resin_sheet_document import BatchDocument, ResinSheet, ResinSheetDocument
from optimiser.case.say_found import say_found
from optimiser.case.scale_resin import (
    doubt,
    gel_time_ratio,
    scaled_gel_points,
    scaled_thickening,
    scaled_viscosity_points,
    viscosity_ratio,
)
from optimiser.case.unknown_name import unknown_name
from optimiser.errors import Fault, InputError

_LEVEL = "/resin/initiator"
_REMEDY = "look whether the value and its unit were written down rightly; mend it in the resin"
_latest = attrgetter("tested_at")


def resin_of_batch(
    sheet: ResinSheet, batch: str | None, level_percent: float
) -> tuple[dict[str, Any], tuple[str, ...]]:
    """Plain data for the resin of a case, and what was done, in sentences. Without a batch: the data sheet as it is.

    InputError for a batch that the sheet does not hold or whose tests lead out of the limits of a resin (/batch), and
    for a level outside those of the resin (/resin/initiator/level_percent).
    """
    document = sheet.document
    found = None if batch is None else _batch(document, batch)
    block, said = _moved(document, found, level_percent)
    try:
        resin_of_block(block)
    except InputError as error:
        raise InputError(error.faults if found is None else _told_of_batch(document, found, error.faults)) from error
    return block, said


def faults_of_batches(sheet: ResinSheet) -> Iterator[Fault]:
    """One for each test that counts and leads out of the limits of a resin, with a pointer into the sheet."""
    document = sheet.document
    level_percent = usable_level_percent(document)
    for batch in document.batches:
        block, _said = _moved(document, batch, level_percent)
        try:
            resin_of_block(block)
        except InputError as error:
            for path, fault in _blamed(document, batch, error.faults).items():
                found = f"a test that makes {fault.path} of a case {fault.found}"
                yield Fault(path=path, found=found, expected=fault.expected, remedy=_REMEDY)


def usable_level_percent(document: ResinSheetDocument) -> float:
    """The lowest level of initiator that the maker allows and gel times are measured at."""
    measured = min(point.initiator_percent for point in document.gel_time_points)
    return max(document.initiator.least_percent, measured)


def _told_of_batch(document: ResinSheetDocument, batch: BatchDocument, faults: Iterable[Fault]) -> Iterator[Fault]:
    """For whoever names the batch and has not the sheet before him."""
    yield from (fault for fault in faults if fault.path.startswith(_LEVEL))
    for path, fault in _blamed(document, batch, faults).items():
        found = f"{say_found(batch.batch)}, whose test at {path} of the resin makes {fault.path} {fault.found}"
        yield Fault(path="/batch", found=found, expected=fault.expected, remedy=_REMEDY)


def _blamed(document: ResinSheetDocument, batch: BatchDocument, faults: Iterable[Fault]) -> dict[str, Fault]:
    """By pointer to the test that counts, the first fault of what it scales; how a resin thickens follows both."""
    blamed: dict[str, Fault] = {}
    at = pointer("batches", document.batches.index(batch))
    for fault in faults:
        if fault.path.startswith(_LEVEL):
            continue
        of_viscosity = fault.path.startswith("/resin/viscosity_points") or not batch.gel_tests
        tests, kind = (batch.viscosity_tests, "viscosity") if of_viscosity else (batch.gel_tests, "gel")
        moments = [test.tested_at for test in tests]
        blamed.setdefault(f"{at}/{kind}_tests/{moments.index(max(moments))}", fault)
    return blamed


def _moved(
    document: ResinSheetDocument, found: BatchDocument | None, level_percent: float
) -> tuple[dict[str, Any], tuple[str, ...]]:
    """The block, not yet held against the limits of a resin, and what was done."""
    said: list[str] = []
    block: dict[str, Any] = {
        "name": document.name,
        "density_kg_m3": document.density_kg_m3,
        "viscosity_points": [point.model_dump() for point in document.viscosity_points],
        "gel_time_points": [point.model_dump() for point in document.gel_time_points],
        "initiator": {"level_percent": level_percent, **document.initiator.model_dump()},
    }
    if found is None:
        said.append("no batch is named: viscosities and gel times are those of the data sheet")
        block |= scaled_thickening(document)
    else:
        block["batch"] = found.batch
        gel_times, viscosities = _scale_gel_times(block, document, found), _scale_viscosities(block, document, found)
        doubted = doubt(*_ratios(document, found))
        block["taken_from"] = {"gel_times": gel_times, "viscosities": viscosities, "doubt": doubted}
        said += [gel_times, viscosities]
        thickening = _thickening(document, found)
        block |= thickening
        if thickening:
            said.append("how it thickens is moved by the same ratios: as much sooner as it gels, as much thicker")
    return block, tuple(said)


def _thickening(document: ResinSheetDocument, batch: BatchDocument) -> dict[str, Any]:
    """Moved by the same tests as fresh viscosity and gel time: ages as gel times, viscosities as viscosities."""
    gel_ratio, thicker = _ratios(document, batch)
    return scaled_thickening(document, gel_ratio=gel_ratio, viscosity_ratio=thicker)


def _ratios(document: ResinSheetDocument, batch: BatchDocument) -> tuple[float, float]:
    """Of gel time and of viscosity, by the newest test of each; 1: no test."""
    gel_test = max(batch.gel_tests, key=_latest, default=None)
    test = max(batch.viscosity_tests, key=_latest, default=None)
    return (
        1.0 if gel_test is None else gel_time_ratio(document.gel_time_points, gel_test),
        1.0 if test is None else viscosity_ratio(document.viscosity_points, test),
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
