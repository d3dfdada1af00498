"""Where the played variations locked air, as far as a map can keep places apart."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.headline import is_verified
from optimiser.run_sheet.map_room import Point

MOST_PLACES = 8
"""Marked on a map: those where air was locked most often."""


@dataclass(frozen=True, kw_only=True)
class VariedLock:
    """Places that lie together, and in how many variations air was locked at one of them."""

    at_mm: Point
    variations: int


def varied_locks(plan: PlanDocument, near_mm: float) -> list[VariedLock]:
    """Most often first; places nearer to each other than this are one. None in a plan that is refused: that has its own
    locks to show."""
    found = plan.robustness
    if found is None or not shows_varied_locks(plan):
        return []
    if found.locked_places is None:
        zones = [VariedLock(at_mm=(one.x_mm, one.y_mm), variations=one.variations) for one in found.locked_zones]
        return zones[:MOST_PLACES]
    at_mm = np.array([(one.x_mm, one.y_mm) for one in found.locked_places])
    variation = np.array([one.variation for one in found.locked_places])
    near = np.linalg.norm(at_mm[:, None] - at_mm[None, :], axis=2) <= near_mm
    left, out = np.ones(len(at_mm), dtype=bool), list[VariedLock]()
    while left.any() and len(out) < MOST_PLACES:
        around = [np.flatnonzero(near[k] & left) for k in np.flatnonzero(left)]
        together = max(around, key=lambda places: _count(variation[places]))
        left[together] = False
        x_mm, y_mm = at_mm[together].mean(axis=0).tolist()
        out.append(VariedLock(at_mm=(x_mm, y_mm), variations=_count(variation[together])))
    return out


def shows_varied_locks(plan: PlanDocument) -> bool:
    """Whether there are any to mark."""
    return plan.robustness is not None and bool(plan.robustness.locked_zones) and is_verified(plan)


def _count(variations: NDArray[np.int64]) -> int:
    """One may lock at several places."""
    return len(np.unique(variations))
