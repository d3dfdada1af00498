"""A kept plan as it stands today: what has happened to it since it was computed is drawn into all that is printed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from optimiser.case.plan_document import Reason, Verdict
from optimiser.run_sheet.identity import KeptPlan, sheet_mark


@dataclass(frozen=True, kw_only=True)
class Withdrawn:
    """Nobody may use the plan any more."""

    at: datetime
    """UTC."""
    reason: str


class Finding(StrEnum):
    """Why a sheet may not be used as it is printed where a change holds."""

    ORDER = "order"
    """The order of taps fails."""
    TIMES = "times"
    """The order holds; times or conditions on the sheet do not."""
    NOTHING = "nothing"
    """Nothing can be said, for example beyond the resin's data."""


_FOUND = {
    Finding.ORDER: "this order of taps was found NOT to hold",
    Finding.TIMES: "times on this sheet were found NOT to hold",
    Finding.NOTHING: "nothing could be said of this sheet",
}


@dataclass(frozen=True, kw_only=True)
class Condemned:
    """A revalidation found that the sheet may not be used with what was changed in it."""

    at: datetime
    """UTC."""
    change: tuple[str, ...]
    """In sentences."""
    found: Finding = Finding.ORDER


@dataclass(frozen=True, kw_only=True)
class Standing:
    """As it was computed, unless one of these says otherwise."""

    withdrawn: Withdrawn | None = None
    condemned: tuple[Condemned, ...] = ()
    """Whatever was found and not asked again since, the worst first."""


def as_it_stands(plan: KeptPlan, standing: Standing) -> KeptPlan:
    """The plan to draw in place of this one: without orders once withdrawn, with an alarm where last found wanting.

    Whether a change that was asked about is what lies in the shop today, only the shop knows.
    """
    if standing.withdrawn is not None:
        reason = _withdrawal(standing.withdrawn, sheet_mark(plan))
        return plan.model_copy(update={"verdict": Verdict.NOT_ADMISSIBLE, "reasons": [reason]})
    if standing.condemned:
        return plan.model_copy(update={"alarm": stop_and_ask(standing.condemned)})
    return plan


def _withdrawal(withdrawn: Withdrawn, mark: str) -> Reason:
    return Reason(
        requirement=f"Withdrawn on {_day(withdrawn.at)}: {withdrawn.reason}",
        where=f"every printed copy with sheet {mark} at its foot, its map, and its tap labels",
        by_how_much="wholly",
        remedy="take them off wall and taps, and infuse only from the sheet of a plan that holds",
    )


def stop_and_ask(condemned: tuple[Condemned, ...]) -> str:
    """As it stands on the sheet: all of it, since a crew answers by what it is told."""
    found = " ".join(f"On {_day(one.at)} {_FOUND[one.found]} where {'; '.join(one.change)}." for one in condemned)
    which = "that" if len(condemned) == 1 else "any of that"
    return f"STOP AND ASK. {found} If {which} is how it is today, do not infuse from this sheet."


def _day(at: datetime) -> str:
    return f"{at.day} {at:%B %Y}, {at:%H:%M} UTC"
