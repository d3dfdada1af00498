"""How much resin goes where, as a plan tells it."""

from __future__ import annotations

from optimiser.case.document_shape import DocumentShape


class ResinQuantities(DocumentShape):
    """Kilograms of resin by use, as bought: the initiator comes on top."""

    laminate_kg: float
    """In the reinforcement."""
    core_kg: float
    """In grooves and holes of the core."""
    flow_mesh_kg: float
    """In the flow mesh."""
    feed_lines_kg: float
    """In the feed lines."""
    hoses_and_manifold_kg: float
    """In hoses and manifold."""
    race_tracks_kg: float = 0.0
    """In the gaps that the case names."""
    drawn_into_vents_kg: float
    """Drawn into the vents."""
    reserve_kg: float
    """The reserve that the case asks for."""
    total_kg: float
    """All of these together: what to have ready."""
    initiator_kg: float
    """Initiator for the total."""
    initiator_percent: float
    """Initiator on 100 parts of resin by weight."""
    mixes: int | None = None
    """Number of mixes, where the supply is mixed in batches."""
