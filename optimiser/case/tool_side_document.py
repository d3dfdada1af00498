"""How the plan says by how much the tool side trails."""

from __future__ import annotations

from optimiser.case.document_shape import DocumentShape


class ToolSide(DocumentShape):
    """Solid laminate under flow mesh, or so thick that the tool side trails without: what the crew sees leads it."""

    area: str
    """Name of the area of the case."""
    laminate: str
    """Name of its laminate."""
    bag_wet_s: float | None
    """The bag side, mesh or uppermost plies, is wet all over; null: never."""
    wet_s: float | None
    """The laminate is wet down to the tool side all over; null: never."""
    trails_s: float | None
    """Longest that any place is wet to the tool side after its bag side; null: never all wet."""
    lead_mm: float | None
    """Farthest that resin in the mesh can lead the tool side: a steady front without flow along the laminate. Null: no
    mesh lies there."""
