"""How thick the part is when it is wet, and after the hold, where the case lets the bag give."""

from __future__ import annotations

from optimiser.case.document_shape import DocumentShape


class AreaThickness(DocumentShape):
    """An area whose plies give."""

    name: str
    """Name of the area."""
    laminate: str
    """Name of its laminate."""
    wet_mm: tuple[float, float, float]
    """Whole stack at the end of filling, core and mesh included: thinnest cell, mean, thickest cell."""
    wet_fibre_volume_percent: tuple[float, float, float]
    """Of its plies there: in the thickest cell, at the mean thickness, in the thinnest cell."""
    held_mm: float
    """After the hold, all taps shut and vents open until the resin is down to the vacuum: as thick as it was dry."""
    held_fibre_volume_percent: float
    """Of its plies then."""
    bleeds_kg: float
    """Resin that leaves it in the hold."""
