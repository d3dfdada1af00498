"""What the wet-out map of a plan is drawn from. Places are in mm on the sheet."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from optimiser.case.document_shape import DocumentShape, came_later


class MapOutline(DocumentShape):
    """A piece of the part."""

    border_mm: list[tuple[float, float]]
    """Corners round a piece of the part."""
    holes_mm: list[list[tuple[float, float]]] = Field(default_factory=list)
    """Corners round each hole in it."""


class MapRun(DocumentShape):
    """The course of a feed line or a vent."""

    label: str
    """Label on the tap."""
    kind: Literal["line", "vent"]
    """A feed line or a vent."""
    run_mm: list[tuple[float, float]]
    """Corners of its course."""
    order: int | None
    """Order of its first step; None: not used."""
    inlet_mm: tuple[float, float] | None = None
    """Where the tap's hose joins; None for vents, and in plans written before this was kept."""
    outlet_mm: tuple[float, float] | None = came_later()
    """Where the hose to the catch pot joins a vent line; None for feed lines, vent points and vents whose hose is not
    given."""


class MapArea(DocumentShape):
    """A laminate patch over the base laminate."""

    name: str
    """Name of the patch."""
    laminate: str
    """Name of its laminate."""
    border_mm: list[tuple[float, float]]
    """Corners round it."""


class MapRaceTrack(DocumentShape):
    """A gap in which resin runs ahead."""

    name: str
    """Its name in the case."""
    run_mm: list[tuple[float, float]]
    """Corners of its course."""


class MapData(DocumentShape):
    """What the wet-out map is drawn from. One entry per cell in the columns."""

    outlines: list[MapOutline]
    """The pieces of the part."""
    areas: list[MapArea] = Field(default_factory=list)
    """The patches on it."""
    runs: list[MapRun]
    """Feed lines and vents."""
    race_tracks: list[MapRaceTrack] = Field(default_factory=list, exclude_if=lambda gaps: not gaps)
    """The gaps that the case names."""
    cell_mm: float
    """Width of a cell."""
    x_mm: list[float]
    """Middle of each cell, along."""
    y_mm: list[float]
    """Middle of each cell, across."""
    wet_s: list[float | None]
    """When each cell is wet, from the start; None: never."""
    wet_thickness_mm: list[float | None] | None = came_later()
    """Whole stack of each cell when all is wet, where the bag gives; None: its plies do not give, or it stays dry."""
    wet_fibre_volume_percent: list[float | None] | None = came_later()
    """Fibre in the plies of each cell then."""
    triangles: list[tuple[int, int, int]] | None = None
    """For a surface: corners as indices into the columns."""
