"""How old the first mix is when the first tap opens: as stated, or as taken where the resin's age is followed."""

from __future__ import annotations

from typing import Final

from optimiser.case.case_document import CaseDocument
from optimiser.case.plan_document import Assumption
from optimiser.case.process_document import Mixes
from optimiser.case.resin_document import ResinDocument

AGE_AT_FIRST_TAP_MIN: Final = 10.0
"""Of a field that came after documents had been stored: taken and listed, but not filled in, so digests stay."""


def judged_at_each_place(document: CaseDocument) -> bool:
    return document.process.gel_judged_by == "each_place"


def thickens(resin: ResinDocument) -> bool:
    """Whether anything is known of it."""
    return any(known is not None for known in (resin.viscosity_with_age, resin.thickening_law, resin.cure_law))


def age_at_first_tap_min(document: CaseDocument) -> float | None:
    """None: neither run nor verdict goes by the resin's age, and the crew takes these minutes off the limit itself."""
    process, supply = document.process, document.supply
    mixing_min = supply.minutes_per_mix if isinstance(supply, Mixes) else None
    aged = thickens(document.resin) or bool(process.temperatures) or judged_at_each_place(document)
    followed = aged or mixing_min is not None
    return age_taken_min(process.age_at_first_tap_min, followed=followed, mixing_min=mixing_min)


def age_taken_min(stated_min: float | None, *, followed: bool, mixing_min: float | None = None) -> float | None:
    """As stated; else, where something rests on it, what is common, and no less than a mix takes."""
    if stated_min is not None or not followed:
        return stated_min
    return max(AGE_AT_FIRST_TAP_MIN, mixing_min or 0.0)


def age_assumption(document: CaseDocument) -> tuple[Assumption, ...]:
    """What is taken where the document says nothing and something rests on it."""
    taken = age_at_first_tap_min(document)
    if taken is None or document.process.age_at_first_tap_min is not None:
        return ()
    return (
        Assumption(
            path="/process/age_at_first_tap_min",
            value=f"{taken:g} min",
            why="common practice, no source; the gel limit and how thick the resin is rest on it: time it",
        ),
    )
