"""A sweep as it leaves the library; written as sweep.json, so units stand in every name."""

from __future__ import annotations

import math
from enum import StrEnum
from typing import Literal

from pydantic import ConfigDict, Field

from optimiser.case.document_shape import DocumentShape, came_later
from optimiser.revalidation.answer import Way


class CellState(StrEnum):
    """What comes of the sequence at one setting."""

    HOLDS = "holds"
    """All wet within the gel limit, also at the slow end of the stated spread of permeability."""
    TIGHT = "tight"
    """All wet within the gel limit as planned, but not at the slow end of the spread."""
    LATE = "late"
    """Not all wet within the gel limit."""
    FAILS = "fails"
    """Another requirement is not met: a region locks, or stays dry, or a rule of the shop is broken."""
    NOT_JUDGED = "not_judged"
    """Beyond what the case's own data reach."""


class SweepCell(DocumentShape):
    """One setting, and what came of it."""

    mould_temperature_c: float
    """Temperature of the mould."""
    resin_temperature_c: float
    """Temperature of the resin: as far from the mould's as in the case."""
    initiator_percent: float
    """Initiator on 100 parts of resin by weight."""
    own: bool
    """Whether this is the setting of the case."""
    state: CellState
    """What comes of the sequence."""
    way: Way | None
    """By look-up in fluidity time, or by a run on the network at this temperature; null: not judged."""
    reason: str
    """What fails or why nothing is said, in a sentence; empty where it holds."""
    viscosity_mpa_s: float | None = None
    """Fresh, at the colder of mould and resin."""
    wet_out_s: float | None = None
    """When the last place is wet; null: never, or not judged."""
    latest_wet_out_s: float | None = None
    """The latest with the stated spread of permeability; null: not played, as the sequence fails without."""
    gel_time_s: float | None = None
    """At the warmer of mould and resin."""
    gel_limit_s: float | None = None
    """Gel time times the stated share."""
    gel_margin_s: float | None = None
    """Limit minus wet-out; negative: too late."""
    resin_kg: float | None = None
    """Resin to have ready, reserve included."""
    initiator_kg: float | None = None
    """Initiator for that."""


def slowest(cells: list[SweepCell]) -> SweepCell | None:
    """Of one temperature, that with the latest wet-out, one that is never wet before all; None: none is judged.

    All levels share one front, unless the resin thickens: then more initiator is slower.
    """
    judged = [cell for cell in cells if cell.state is not CellState.NOT_JUDGED]
    return max(judged, key=lambda cell: math.inf if cell.wet_out_s is None else cell.wet_out_s, default=None)


class SweepDocument(DocumentShape):
    """sweep.json."""

    model_config = ConfigDict(json_schema_serialization_defaults_required=True)

    schema_version: Literal[1] = 1
    """Of this form of document."""
    tapcall_version: str
    """Version of the program that made it."""
    case_name: str
    """Name of the case."""
    case_digest: str
    """SHA-256 of the case in canonical form."""
    resin: str
    """Name of the resin."""
    batch: str
    """Its batch."""
    sequence_from: str
    """Where the sequence comes from."""
    steps: list[str]
    """The sequence, a line for each step: it is the same at every setting."""
    gel_fraction: float = Field(gt=0, le=1)
    """Share of the gel time within which the part must be wet."""
    initiator_range_percent: tuple[float, float]
    """Least and most entered in the case."""
    permeability_spread_percent: float
    """How far all permeabilities together may be off."""
    temperatures_c: list[float]
    """Of the mould, ascending."""
    levels_percent: list[float]
    """Of the initiator, ascending."""
    resin_warmer_k: float
    """By how much the resin is warmer than the mould at every setting, as in the case."""
    at_first_tap: Literal[True] | None = came_later()
    """Temperatures change over the shot: those given are at the first tap, and all later ones move with them."""
    thickens: Literal[True] | None = came_later()
    """Network runs thicken with age."""
    age_at_first_tap_s: float | None = came_later()
    """Of the first mix: it is taken off the gel limit."""
    cells: list[SweepCell]
    """Temperature by temperature, level by level."""
    looked_up_not: list[str]
    """Why some temperatures needed network runs, a sentence for each reason."""
    notes: list[str]
    """What the table leaves out."""
    network_runs: int
    """Played for this sweep, those of planning aside."""

    @property
    def own(self) -> SweepCell:
        """The setting of the case."""
        return next(cell for cell in self.cells if cell.own)

    @property
    def most_margin(self) -> SweepCell | None:
        """The setting with most margin of those that hold, else of those that are tight; None: there is neither."""
        for state in (CellState.HOLDS, CellState.TIGHT):
            good = [cell for cell in self.cells if cell.state is state]
            if good:
                return max(good, key=lambda cell: (cell.gel_margin_s or 0.0, -cell.initiator_percent))
        return None

    def cell(self, temperature_c: float, initiator_percent: float) -> SweepCell:
        """That of the table."""
        row, column = self.temperatures_c.index(temperature_c), self.levels_percent.index(initiator_percent)
        return self.cells[row * len(self.levels_percent) + column]
