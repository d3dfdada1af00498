"""A resin as a shop keeps it: the data sheet, and what its own tests found of each batch."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Annotated

from pydantic import Field

from optimiser.case.canonical_digest import canonical_digest
from optimiser.case.check_resin import point_faults
from optimiser.case.check_thickening import thickening_faults
from optimiser.case.document_shape import DocumentShape, Name, SchemaVersion, came_later
from optimiser.case.instant_document import Day, UtcMoment
from optimiser.case.plain_data import refuse_odd_values
from optimiser.case.pointer import pointer
from optimiser.case.read_text import read_data
from optimiser.case.resin_document import GelTimePoints, InitiatorPercent, ResinDensity, ViscosityPoints
from optimiser.case.say_found import say_found
from optimiser.case.scale_resin import GelTestDocument, ViscosityTestDocument, gel_time_ratio, viscosity_ratio
from optimiser.case.shape_faults import validated
from optimiser.case.thickening_document import CureLawDocument, ThickeningLawDocument, ViscosityWithAgeDocument
from optimiser.errors import Fault, InputError, OutOfRangeError


class DatedGelTestDocument(GelTestDocument):
    tested_at: UtcMoment
    """The latest test of a batch counts."""


class DatedViscosityTestDocument(ViscosityTestDocument):
    tested_at: UtcMoment
    """The latest test of a batch counts."""


class BatchDocument(DocumentShape):
    batch: Name
    received_on: Day | None = None
    gel_tests: Annotated[tuple[DatedGelTestDocument, ...], Field(max_length=1000)] = ()
    viscosity_tests: Annotated[tuple[DatedViscosityTestDocument, ...], Field(max_length=1000)] = ()


class InitiatorRangeDocument(DocumentShape):
    """Mass of initiator (or hardener) per mass of resin: the range that the maker of the resin allows."""

    least_percent: InitiatorPercent
    most_percent: InitiatorPercent


class ResinSheetDocument(DocumentShape):
    schema_version: SchemaVersion
    name: Name
    density_kg_m3: ResinDensity
    """Of the liquid resin."""
    viscosity_points: ViscosityPoints
    """From the data sheet. Nothing is computed outside the temperatures given here."""
    gel_time_points: GelTimePoints
    """From the data sheet."""
    initiator: InitiatorRangeDocument
    viscosity_with_age: ViscosityWithAgeDocument | None = came_later()
    """While it cures, from the data sheet or a rheometer. A batch's tests move it with the other curves."""
    thickening_law: ThickeningLawDocument | None = came_later()
    """A fitted law in place of the table; not both."""
    cure_law: CureLawDocument | None = came_later()
    """Fitted kinetics and what they make of the viscosity, in place of either."""
    batches: Annotated[tuple[BatchDocument, ...], Field(max_length=1000)] = ()


@dataclass(frozen=True, kw_only=True)
class ResinSheet:
    """A document whose data agree with each other."""

    document: ResinSheetDocument
    digest: str
    """SHA-256 of the complete document in canonical JSON."""


def read_resin_sheet(source: Path | bytes) -> ResinSheet:
    """The resin in a YAML or JSON text; InputError with every fault found."""
    return resin_sheet_from_mapping(read_data(source))


def resin_sheet_from_mapping(data: object) -> ResinSheet:
    """The resin in plain data; InputError with every fault found."""
    refuse_odd_values(data)
    if not isinstance(data, Mapping):
        raise InputError([Fault(path="", found=say_found(data), expected="a mapping: the resin")])
    document = validated(ResinSheetDocument, data)
    faults = list(_sheet_faults(document)) or list(_batch_faults(document))
    if faults:
        raise InputError(faults)
    return ResinSheet(document=document, digest=canonical_digest(document.model_dump(mode="json")))


def _sheet_faults(sheet: ResinSheetDocument) -> Iterator[Fault]:
    least, most = sheet.initiator.least_percent, sheet.initiator.most_percent
    measured = [point.initiator_percent for point in sheet.gel_time_points]
    if least > most:
        found = f"least {least:g} % above most {most:g} %"
        yield Fault(path=pointer("initiator"), found=found, expected="least at or below most")
    elif max(measured) < least or min(measured) > most:
        yield Fault(
            path=pointer("gel_time_points"),
            found=f"levels from {min(measured):g} to {max(measured):g} %",
            expected=f"some level within the range stated for the resin, {least:g} to {most:g} %",
        )
    crooked = list(point_faults(sheet.viscosity_points, sheet.gel_time_points, ""))
    yield from crooked or thickening_faults(sheet, "")


def _batch_faults(sheet: ResinSheetDocument) -> Iterator[Fault]:
    names = Counter(batch.batch.casefold() for batch in sheet.batches)
    for place, batch in enumerate(sheet.batches):
        at = pointer("batches", place)
        if names[batch.batch.casefold()] > 1:
            expected = "each batch once, told apart by more than capitals"
            yield Fault(path=f"{at}/batch", found=f"{say_found(batch.batch)} twice", expected=expected)
        yield from _doubled_moments(f"{at}/gel_tests", [test.tested_at for test in batch.gel_tests])
        yield from _doubled_moments(f"{at}/viscosity_tests", [test.tested_at for test in batch.viscosity_tests])
        for number, gel_test in enumerate(batch.gel_tests):
            yield from _gel_test_faults(sheet, f"{at}/gel_tests/{number}", gel_test)
        for number, test in enumerate(batch.viscosity_tests):
            try:
                viscosity_ratio(sheet.viscosity_points, test)
            except OutOfRangeError as error:
                yield _beyond(f"{at}/viscosity_tests/{number}/temperature_c", test.temperature_c, error)


def _gel_test_faults(sheet: ResinSheetDocument, at: str, test: GelTestDocument) -> Iterator[Fault]:
    least, most, level = sheet.initiator.least_percent, sheet.initiator.most_percent, test.initiator_percent
    measured = [point.initiator_percent for point in sheet.gel_time_points]
    level_at, found = f"{at}/initiator_percent", f"{level:g} %"
    if not least <= level <= most:
        expected = f"within the range stated for the resin, {least:g} to {most:g} %"
        yield Fault(path=level_at, found=found, expected=expected)
    elif not min(measured) <= level <= max(measured):
        expected = f"a level of the data sheet's gel times, {min(measured):g} to {max(measured):g} %"
        yield Fault(path=level_at, found=found, expected=expected)
    else:
        try:
            gel_time_ratio(sheet.gel_time_points, test)
        except OutOfRangeError as error:
            yield _beyond(f"{at}/temperature_c", test.temperature_c, error)


def _doubled_moments(at: str, moments: list[datetime]) -> Iterator[Fault]:
    for number, moment in enumerate(moments):
        if moment in moments[:number]:
            found = f"a second test at {moment.isoformat()}"
            yield Fault(path=f"{at}/{number}/tested_at", found=found, expected="a moment of its own: the latest counts")


def _beyond(path: str, temperature_c: float, error: OutOfRangeError) -> Fault:
    return Fault(
        path=path,
        found=f"{temperature_c:g} degrees C",
        expected=f"a temperature within the points of the data sheet: {error}",
        remedy="add points to the data sheet that reach this temperature",
    )
