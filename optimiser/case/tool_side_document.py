"""How the plan says by how much the tool side under flow mesh trails."""

from __future__ import annotations

from optimiser.case.document_shape import DocumentShape


class ToolSide(DocumentShape):
    """Flow mesh on solid laminate: resin leads in the mesh, and the tool side trails what the crew sees."""

    area: str
    """Name of the area of the case."""
    laminate: str
    """Name of its laminate."""
    bag_wet_s: float | None
    """The mesh is full all over; null: never."""
    wet_s: float | None
    """The laminate is wet down to the tool side all over; null: never."""
    trails_s: float | None
    """Longest that any place is wet to the tool side after its mesh is full; null: never all wet."""
    lead_mm: float
    """Farthest that resin in the mesh can lead the tool side: a steady front without flow along the laminate."""
