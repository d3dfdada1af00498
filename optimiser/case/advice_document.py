"""How the plan says what the layout could do better."""

from __future__ import annotations

from typing import Literal

from optimiser.case.document_shape import DocumentShape


class LayoutAdvice(DocumentShape):
    """One thing about the layout, as it lies; nothing was changed."""

    kind: Literal["too_far_apart", "too_wide_from_one_side", "line_adds_nothing", "vent_does_nothing"]
    """Too far apart: no order can wet it in time. From one side: only if both sides feed at once."""
    labels: list[str]
    """Taps, lines or vents that it is about."""
    run_mm: float | None
    """From line to line, or to the edge; null: not about a distance."""
    most_run_mm: float | None
    """About what the gel clock allows; the time goes with the square of the run. Null: not about a distance."""
    wet_s: float | None
    """When the last place there is wet: all taps open at once, or from one side alone. Null: not about a distance."""
    says: str
    """In a sentence for the engineer."""
