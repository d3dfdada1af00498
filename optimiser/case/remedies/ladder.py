"""One change in several sizes, and how the smallest that does it is found with few tries."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from optimiser.case.remedies.proposal import Effort, Proposal


@dataclass(frozen=True, kw_only=True)
class Ladder:
    rungs: tuple[Proposal, ...]
    """From the smallest change to the largest."""
    first: int = 0
    """The smallest that should do by what is known beforehand."""
    best: int = 0
    """The one that should do best: where it does not, none is likely to; no smaller than the first."""
    instead_of: tuple[Effort, ...] = ()
    """Tried only where nothing of these efforts was found."""


def climb(ladder: Ladder, does: Callable[[int], bool]) -> None:
    """Tries the first, and smaller ones for as long as they do it; where it does not, the best, and by halves what lies
    between. does: whether this rung does it; each is asked for once."""
    if does(ladder.first):
        place = ladder.first
        while place > 0 and does(place - 1):
            place -= 1
        return
    fails, holds = ladder.first, ladder.best
    if fails == holds or not does(holds):
        return
    while holds - fails > 1:
        middle = (fails + holds) // 2
        if does(middle):
            holds = middle
        else:
            fails = middle
