"""Which of two sequences is better, as played on one network: in the order of the levels of the zone graph."""

from __future__ import annotations

from collections.abc import Iterable
from math import isfinite
from typing import TypeVar

from optimiser.part.sequence import Action
from optimiser.plan.by_sight import goes_by_sight
from optimiser.plan.result import Candidate, Verified
from optimiser.sequencing.triggers import idle_vents

One = TypeVar("One", Candidate, Verified)
Rank = tuple[float, float, int, int, float, str]
_DRAWN_DIGITS = 5
"""Of cubic metres: a hundredth of a litre."""
_AS_FAST = 0.01


def rank(candidate: Candidate | Verified) -> Rank:
    """Faster first, to the second; then more margin at the closest near-lock, to the second; then fewer taps turned,
    fewer vents, and less resin drawn into them; that is no merit where not all gets wet."""
    sequence, run = candidate.sequence, candidate.run
    drawn_m3 = float(run.vent_drawn_m3.sum()) if isfinite(run.wet_out_s) else 0.0
    return (
        round(run.wet_out_s, 0),
        -round(candidate.margin_s, 0),
        sum(step.action is not Action.CLAMP for step in sequence.steps),
        -len(idle_vents(sequence)),
        round(drawn_m3, _DRAWN_DIGITS),
        candidate.name,
    )


def preferred(candidates: Iterable[One]) -> One | None:
    """The first by rank, or the first that may stand in its place."""
    ordered = sorted(candidates, key=rank)
    return next((one for one in ordered if instead(one, ordered[0])), ordered[0]) if ordered else None


def instead(one: One, first: One) -> bool:
    """Whether one that goes by sight, clean and as fast to a hundredth, stands in for a first that goes by the clock:
    who turns a tap with nothing to see at it is one step from doing it too early."""
    in_time = one.clean and one.run.wet_out_s <= (1 + _AS_FAST) * first.run.wet_out_s
    return in_time and goes_by_sight(one.sequence) and not goes_by_sight(first.sequence)


def merit(candidate: Candidate) -> tuple[bool, bool, float, Rank]:
    """Rules kept, clean, little locked; then as ranked."""
    return (bool(candidate.broken), not candidate.clean, candidate.locked_m3, rank(candidate))
