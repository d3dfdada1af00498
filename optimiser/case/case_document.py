"""The document a user submits: one part, one resin, one process. Shop units, the unit in every name.

Fields that `assumed.py` lists may be left out of the text; they are filled in before this shape is met, so
here every physical field is required and none has a silent default.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from optimiser.case.document_shape import DocumentShape, Name, SchemaVersion
from optimiser.case.laminate_document import (
    CoreDocument,
    FlowMeshDocument,
    LaminateDocument,
    ReinforcementDocument,
)
from optimiser.case.layout_document import (
    AreaDocument,
    FeedLineDocument,
    RaceTrackDocument,
    SheetDocument,
    VentDocument,
)
from optimiser.case.process_document import (
    CrewDocument,
    ProcessDocument,
    RulesDocument,
    SearchDocument,
    SupplyDocument,
)
from optimiser.case.resin_document import ResinDocument


class CaseDocument(DocumentShape):
    schema_version: SchemaVersion
    name: Name
    note: Annotated[str, Field(max_length=4000)] = ""
    """For people; nothing is computed from it."""
    sheet: SheetDocument
    """Either flat outlines with heights, or a triangle surface."""
    reinforcements: Annotated[dict[Name, ReinforcementDocument], Field(max_length=200)]
    cores: Annotated[dict[Name, CoreDocument], Field(max_length=200, default_factory=dict)]
    flow_meshes: Annotated[dict[Name, FlowMeshDocument], Field(max_length=200, default_factory=dict)]
    laminates: Annotated[dict[Name, LaminateDocument], Field(min_length=1, max_length=200)]
    areas: Annotated[tuple[AreaDocument, ...], Field(min_length=1, max_length=500)]
    feed_lines: Annotated[tuple[FeedLineDocument, ...], Field(min_length=1, max_length=200)]
    vents: Annotated[tuple[VentDocument, ...], Field(min_length=1, max_length=200)]
    race_tracks: Annotated[tuple[RaceTrackDocument, ...], Field(max_length=200, exclude_if=lambda gaps: not gaps)] = ()
    """Gaps in which resin runs ahead; others are taken to be closed. An empty list stands in no digest."""
    supply: SupplyDocument
    resin: ResinDocument
    process: ProcessDocument
    crew: CrewDocument
    rules: RulesDocument = RulesDocument()
    search: SearchDocument = SearchDocument()
