"""Which of two sequences is better, as played on one network."""

from __future__ import annotations

from optimiser.plan.result import Candidate, Verified
from optimiser.sequencing.triggers import idle_vents


def rank(candidate: Candidate | Verified) -> tuple[float, int, int, str]:
    """Faster first, to the second; then fewer vents, then fewer steps."""
    sequence = candidate.sequence
    return (
        round(candidate.run.wet_out_s, 0),
        -len(idle_vents(sequence)),
        len(sequence.steps),
        candidate.name,
    )


def merit(candidate: Candidate) -> tuple[bool, bool, float, tuple[float, int, int, str]]:
    """Rules kept, clean, little locked; then as ranked."""
    return (bool(candidate.broken), not candidate.clean, candidate.locked_m3, rank(candidate))
