"""What is better, in order; each level is settled before the next is looked at."""

from __future__ import annotations

from ortools.sat.python import cp_model

from optimiser.sequencing.decisions import Decisions

Level = tuple[str, cp_model.LinearExprT]


def levels(decisions: Decisions) -> tuple[Level, ...]:
    """Shortest wet-out, then fewest lines, then fewest vents where there is a choice, then the earliest openings."""
    vents: tuple[Level, ...] = (("vents used", sum(decisions.vents)),) if decisions.vents else ()
    return (
        ("wet-out", decisions.wet_out),
        ("lines used", sum(decisions.used)),
        *vents,
        ("sum of opening times", sum(decisions.opens)),
    )
