"""How the plan names demands of the user that cannot be kept together."""

from __future__ import annotations

from optimiser.case.document_shape import DocumentShape


class AskedField(DocumentShape):
    """A place of the case that asks for something."""

    path: str
    """JSON pointer (RFC 6901) into the complete case."""
    asks: str
    """What stands there, in words."""


class ConflictResult(DocumentShape):
    """Demands that the zone graph cannot keep together."""

    statement: str
    """What was proven, and on what."""
    fields: list[AskedField]
    """Cannot be kept together; empty: the zone graph knows no sequence even without any demand."""
    smallest: bool
    """No smaller set is in conflict. False: the solver's effort ended before that was proven."""
    left_out: list[list[str]]
    """Paths; without all of one list the zone graph can keep the rest. Fewest first, not played on the network."""
