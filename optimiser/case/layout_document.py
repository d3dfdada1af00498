"""Where it lies: the sheet, the laminate areas, the feed lines and the vents. Lengths in mm."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Discriminator, Field, Strict, Tag

from optimiser.case.document_shape import (
    LIKE_2_0,
    Bore,
    DocumentShape,
    Height,
    HoseLength,
    Label,
    Name,
    Number,
    PointInSpace,
    PointOnSheet,
    RunPoint,
    Whole,
    came_later,
)
from optimiser.case.one_of import one_key_of

Border = Annotated[tuple[PointOnSheet, ...], Field(min_length=3, max_length=10_000)]
Run = Annotated[tuple[RunPoint, ...], Field(max_length=2000)]
GapSide = Annotated[Number, Field(ge=0.1, le=100)]
PlaceOnRun = Annotated[
    Annotated[Literal["start", "middle", "end"], Tag("⟨word⟩")]
    | Annotated[Number, Field(ge=0, le=100), Tag("⟨percent⟩")],
    Discriminator(lambda value: "⟨word⟩" if isinstance(value, str) else "⟨percent⟩"),
]
VertexIndex = Annotated[Whole, Field(ge=0), LIKE_2_0]


class OutlineDocument(DocumentShape):
    """One piece of the part, laid flat."""

    name: Name
    border_mm: Border
    """Corners in order, [x, y]."""
    holes_mm: Annotated[tuple[Border, ...], Field(max_length=1000)] = ()


class HeightDocument(DocumentShape):
    """Height at one place; between the places it is interpolated."""

    at_mm: PointOnSheet
    height_mm: Height
    """Above the datum, upwards positive. Any level will do for a datum, the same for all heights."""


class OutlineSheet(DocumentShape):
    outlines: Annotated[tuple[OutlineDocument, ...], Field(min_length=1, max_length=100)]
    """Pieces in one plane. Pieces that touch are one sheet."""
    heights: Annotated[tuple[HeightDocument, ...], Field(max_length=20_000)]
    """Empty: the sheet is level at height 0."""


class SurfaceDocument(DocumentShape):
    """A triangle mesh in space, z upwards."""

    vertices_mm: Annotated[tuple[PointInSpace, ...], Field(min_length=3, max_length=200_000)]
    triangles: Annotated[
        tuple[tuple[VertexIndex, VertexIndex, VertexIndex], ...], Field(min_length=1, max_length=400_000)
    ]
    """Three places in the list of vertices each, counted from 0."""


class SurfaceSheet(DocumentShape):
    surface: SurfaceDocument


SheetDocument = Annotated[
    Annotated[OutlineSheet, Tag("⟨outlines⟩")] | Annotated[SurfaceSheet, Tag("⟨surface⟩")],
    Discriminator(one_key_of("outlines", "surface")),
]


class AreaDocument(DocumentShape):
    """Where a laminate lies. A later area takes the place of the earlier ones under it."""

    name: Name
    laminate: Name
    border_mm: Border | None
    """Corners in order, [x, y]; null: everywhere."""


class SectionDocument(DocumentShape):
    """A length of feed line with a tap of its own."""

    name: Label | None = None
    """The tap is labelled LINE-SECTION; only the one section of an undivided line may go without a name."""
    run_mm: Annotated[Run, Field(min_length=2)]
    """Corners along the line, [x, y] on a sheet, [x, y, z] on a surface."""
    hose_length_mm: HoseLength
    """From the manifold to the line."""
    inlet: PlaceOnRun
    """Where along the run the hose joins: start, middle, end, or a percentage of the length."""


class FeedLineDocument(DocumentShape):
    name: Label
    bore_mm: Bore
    """Inner diameter of the line in the bag."""
    hose_bore_mm: Bore
    """Inner diameter of the hose from the manifold."""
    use: Literal["candidate", "required", "forbidden"]
    """Candidate: may be opened. Required: must be. Forbidden: lies in the bag but its tap stays shut."""
    sections: Annotated[tuple[SectionDocument, ...], Field(min_length=1, max_length=50)]

    def label_of(self, section: SectionDocument) -> str:
        """What stands on the section's tap."""
        return self.name if section.name is None else f"{self.name}-{section.name}"


class RaceTrackDocument(DocumentShape):
    """A gap in which resin runs ahead: at an edge, in a core joint, along a fold."""

    name: Name
    run_mm: Annotated[Run, Field(min_length=2)]
    """Corners along the gap, on the sheet or its border."""
    width_mm: GapSide
    """As it lies under the bag; a bag that bridges it makes it wider."""
    depth_mm: GapSide
    """Through the thickness: as a rule that of the laminate or core beside it."""


class VentDocument(DocumentShape):
    name: Label
    """Stands on the vent's clamp."""
    run_mm: Annotated[Run, Field(min_length=1)]
    """Corners along the vent line, or a single point."""
    bore_mm: Bore
    hose_length_mm: HoseLength
    """From the vent to the catch pot."""
    catch_pot_litres: Annotated[Number, Field(ge=0.2, le=500)]
    pot_hose_bore_mm: Bore | None = came_later()
    """Inner diameter of the hose to the pot. With it line and hose are pipes: resin that runs in fills them and is held
    up. Left out: the vent holds full vacuum all along until it is clamped."""
    outlet: PlaceOnRun | None = came_later()
    """Where along the run the hose joins: start, middle, end, or a percentage of the length."""
    may_stay_clamped: Annotated[bool, Strict()] | None = came_later()
    """True: clamped from the start where it gains nothing. Left out: open until resin reaches it."""
    on_line: Label | None = came_later()
    """Tap of the feed line that this vent draws through until resin reaches it; clamped then, and the line may feed.
    `run_mm` is the one point at which the hose joins that line."""
