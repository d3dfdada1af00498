"""How old the first mix is when the first tap opens: as stated, or as taken where the resin's age is followed."""

from __future__ import annotations

from typing import Final

from optimiser.case.case_document import CaseDocument
from optimiser.case.plan_document import Assumption
from optimiser.case.process_document import Mixes

AGE_AT_FIRST_TAP_MIN: Final = 10.0
"""Of a field that came after documents had been stored: taken and listed, but not filled in, so digests stay."""


def age_is_followed(document: CaseDocument) -> bool:
    """Whether anything in the case makes the run or the verdict go by the age of the resin since it was mixed."""
    resin, process = document.resin, document.process
    followed = (resin.viscosity_with_age, resin.thickening_law, process.age_at_first_tap_min)
    return any(each is not None for each in followed) or bool(process.temperatures) or judged_at_each_place(document)


def judged_at_each_place(document: CaseDocument) -> bool:
    return document.process.gel_judged_by == "each_place"


def age_at_first_tap_min(document: CaseDocument) -> float | None:
    """None: the age is not followed, and the crew takes these minutes off the limit itself."""
    stated = document.process.age_at_first_tap_min
    if stated is not None or not age_is_followed(document):
        return stated
    supply = document.supply
    mixing_min = supply.minutes_per_mix if isinstance(supply, Mixes) else None
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
