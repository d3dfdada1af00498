"""The resin as its data sheet and the shop's own gel test give it."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, Field

from optimiser.case.document_shape import DocumentShape, Name, Number, came_later, printable
from optimiser.case.thickening_document import CureLawDocument, ThickeningLawDocument, ViscosityWithAgeDocument

DataSheetTemperature = Annotated[Number, Field(ge=-10, le=100)]
InitiatorPercent = Annotated[Number, Field(ge=0.1, le=60)]
DataSheetViscosity = Annotated[Number, Field(ge=5, le=5000)]
LEAST_GEL_MIN, MOST_GEL_MIN = 2.0, 2880.0
GelTime = Annotated[Number, Field(ge=LEAST_GEL_MIN, le=MOST_GEL_MIN)]
ResinDensity = Annotated[Number, Field(ge=800, le=2000)]


class ViscosityPointDocument(DocumentShape):
    temperature_c: DataSheetTemperature
    viscosity_mpa_s: DataSheetViscosity
    """Of the mixed resin when fresh."""


class GelTimePointDocument(DocumentShape):
    temperature_c: DataSheetTemperature
    initiator_percent: InitiatorPercent
    gel_time_min: GelTime


ViscosityPoints = Annotated[tuple[ViscosityPointDocument, ...], Field(min_length=1, max_length=100)]
GelTimePoints = Annotated[tuple[GelTimePointDocument, ...], Field(min_length=1, max_length=200)]


class InitiatorDocument(DocumentShape):
    """Mass of initiator (or hardener) per mass of resin, as the resin's data sheet states it."""

    level_percent: InitiatorPercent
    """For this shot."""
    least_percent: InitiatorPercent
    most_percent: InitiatorPercent
    """The range that the maker of the resin allows."""


WhereFrom = Annotated[str, Field(min_length=1, max_length=600), AfterValidator(printable)]


class TakenFromDocument(DocumentShape):
    """Whose measurements the points are, in a sentence each: printed on the sheet among what the plan assumes, in the
    words of whoever wrote the case, or of the service where a batch of its store is used."""

    gel_times: WhereFrom | None = came_later()
    viscosities: WhereFrom | None = came_later()
    doubt: WhereFrom | None = came_later()
    """What speaks against the test that they were scaled through; a warning of the plan."""


class ResinDocument(DocumentShape):
    name: Name
    batch: Name
    density_kg_m3: ResinDensity
    """Of the liquid resin."""
    viscosity_points: ViscosityPoints
    """Nothing is computed outside the temperatures given here."""
    gel_time_points: GelTimePoints
    """Best from the shop's own test of this batch."""
    initiator: InitiatorDocument
    viscosity_with_age: ViscosityWithAgeDocument | None = came_later()
    """With it the run thickens; left out: the resin stays as thin as it is fresh, so keep the margin before gel."""
    thickening_law: ThickeningLawDocument | None = came_later()
    """A fitted law in place of the table; not both."""
    cure_law: CureLawDocument | None = came_later()
    """Fitted kinetics and what they make of the viscosity, in place of either."""
    taken_from: TakenFromDocument | None = came_later()
