"""How far the day may be off what the case states: what the played variations are drawn from."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from optimiser.case.document_shape import (
    DocumentShape,
    Name,
    Number,
    PatchyPercent,
    SpreadPercent,
    came_later,
)
from optimiser.case.layout_document import RaceTrackDocument

MOST_SCENARIOS = 5000


class MayRaceDocument(RaceTrackDocument):
    """A gap that is there in some shots only; the plan itself is made without it."""

    chance_percent: Annotated[Number, Field(ge=1, le=99)]
    """In how many of a hundred shots it is there."""


class LaminateSpreadDocument(DocumentShape):
    """A laminate whose permeability is known better, or worse, than that of the others."""

    laminate: Name
    variation_percent: SpreadPercent
    """Coefficient of variation. Fabrics that the shop measured itself vary by 8 to 12 %, figures out of somebody else's
    table by 32 to 44 % (May et al., Composites A 121:100-114, 2019, abstract)."""


class ScatterDocument(DocumentShape):
    """Permeability is spread by `permeability_spread_percent`, here for each laminate by itself and as a coefficient of
    variation, and by `permeability_patchy_percent` from place to place."""

    laminates: Annotated[
        tuple[LaminateSpreadDocument, ...], Field(max_length=200, exclude_if=lambda rows: not rows)
    ] = ()
    """Those with a spread of their own."""

    temperature_plus_minus_c: Annotated[Number, Field(ge=0, le=15)] | None = came_later()
    """Mould and resin together, evenly up to this much colder or warmer; viscosity and gel time follow."""
    gel_time_spread_percent: PatchyPercent | None = came_later()
    """Coefficient of variation of the gel time, beside what temperature does to it."""
    vacuum_plus_minus_mbar: Annotated[Number, Field(ge=0, le=200)] | None = came_later()
    """Pressure under the bag, evenly up to this much lower or higher."""
    late_up_to_s: Annotated[Number, Field(ge=0, le=900)] | None = came_later()
    """Each action of the crew takes evenly up to this much longer; in one variation all of them the same."""
    gap_width_spread_percent: PatchyPercent | None = came_later()
    """Coefficient of variation of the width of each gap in `race_tracks` and `may_race`."""
    may_race: Annotated[
        tuple[MayRaceDocument, ...], Field(max_length=50, exclude_if=lambda gaps: not gaps)
    ] = ()
    """Gaps that may be there."""
