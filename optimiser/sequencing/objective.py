"""What is better, in order; each level is settled before the next is looked at."""

from __future__ import annotations

from ortools.sat.python import cp_model

from optimiser.sequencing.decisions import Decisions

Level = tuple[str, cp_model.LinearExprT]


def levels(decisions: Decisions) -> tuple[Level, ...]:
    """Shortest wet-out, then fewest lines, then the earliest openings."""
    return (
        ("wet-out", decisions.wet_out),
        ("lines used", sum(decisions.used)),
        ("sum of opening times", sum(decisions.opens)),
    )
