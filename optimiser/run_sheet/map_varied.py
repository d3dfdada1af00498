"""Where the played variations locked air, as far as a map can keep places apart."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import fmean

from optimiser.case.plan_document import PlanDocument
from optimiser.case.robustness_document import LockedPlaceResult
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
    if found is None or not is_verified(plan):
        return []
    if found.locked_places is None:
        zones = [VariedLock(at_mm=(one.x_mm, one.y_mm), variations=one.variations) for one in found.locked_zones]
        return zones[:MOST_PLACES]
    left, out = list(found.locked_places), list[VariedLock]()
    while left:
        together = max((_near(one, left, near_mm) for one in left), key=_variations)
        left = [one for one in left if one not in together]
        middle = fmean(one.x_mm for one in together), fmean(one.y_mm for one in together)
        out.append(VariedLock(at_mm=middle, variations=_variations(together)))
    return sorted(out, key=lambda one: -one.variations)[:MOST_PLACES]


def _near(one: LockedPlaceResult, places: list[LockedPlaceResult], near_mm: float) -> list[LockedPlaceResult]:
    return [other for other in places if math.dist((one.x_mm, one.y_mm), (other.x_mm, other.y_mm)) <= near_mm]


def _variations(places: list[LockedPlaceResult]) -> int:
    """One may lock at several of them."""
    return len({one.variation for one in places})
