"""The groups of a report: plans about which the same is to be done, the most pressing first."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from typing import Final

from api.reports.report_document import ReportItem


class Group(IntEnum):
    """In the order in which a planner acts."""

    WITHOUT_A_PLAN = 0
    WITH_A_NEW_PLAN = 1
    SET_ASIDE = 2
    BETTER_EXISTS = 3
    NEW_CLOCK = 4
    STOPPED_BEFORE = 5
    STILL_VALID = 6
    OPEN = 7
    WITHDRAWN = 8


NOT_TO_BE_USED: Final = frozenset(
    {Group.WITHOUT_A_PLAN, Group.WITH_A_NEW_PLAN, Group.SET_ASIDE, Group.NEW_CLOCK, Group.STOPPED_BEFORE, Group.OPEN}
)
"""A stored sheet of these does harm, or may for all that is known."""


@dataclass(frozen=True, kw_only=True)
class GroupWords:
    """What a group is called and what is to be done about it."""

    heading: str
    says: str
    """What has happened and what to do, two or three short sentences."""


WORDS: Final[dict[Group, GroupWords]] = {
    Group.WITHOUT_A_PLAN: GroupWords(
        heading="Do not use: no new plan",
        says="The stored sequence no longer holds and no verified plan takes its place. Take in every printed sheet.",
    ),
    Group.WITH_A_NEW_PLAN: GroupWords(
        heading="Do not use: new plan ready",
        says="The stored sequence no longer holds; a verified plan takes its place. Take in every older sheet.",
    ),
    Group.SET_ASIDE: GroupWords(
        heading="Do not use yet: no answer found",
        says="The run tried and gave up. Check each by hand or plan it again; until then it counts as not valid.",
    ),
    Group.BETTER_EXISTS: GroupWords(
        heading="Print the new sheet: it is better",
        says="The stored sheet still holds as printed. Sheet and labels of one plan only: never mix the two.",
    ),
    Group.NEW_CLOCK: GroupWords(
        heading="Do not use as printed: times have changed",
        says="The sequence holds; minutes or conditions on the printed sheet are wrong. Take in every older sheet.",
    ),
    Group.STOPPED_BEFORE: GroupWords(
        heading="Do not use before asking: stopped by another run",
        says="This change does them no harm, but another run found against them, and nothing has asked that again.",
    ),
    Group.STILL_VALID: GroupWords(
        heading="Nothing to do: still valid",
        says="Sequence and times hold as printed.",
    ),
    Group.OPEN: GroupWords(
        heading="Do not use yet: not answered",
        says="Without an answer these sheets count as not valid.",
    ),
    Group.WITHDRAWN: GroupWords(
        heading="Withdrawn: no sheet of these is used",
        says="Somebody has withdrawn them since this run began. See that all their copies are down.",
    ),
}


def group_of(item: ReportItem) -> Group:
    if item.stopped:
        return Group.STOPPED_BEFORE
    match item.answer:
        case "no_longer_valid":
            return Group.WITH_A_NEW_PLAN if item.replan_state == "verified" else Group.WITHOUT_A_PLAN
        case "set_aside":
            return Group.SET_ASIDE
        case "better_exists":
            return Group.BETTER_EXISTS
        case "new_clock":
            return Group.NEW_CLOCK
        case "still_valid":
            return Group.STILL_VALID
        case "open":
            return Group.OPEN
        case "withdrawn":
            return Group.WITHDRAWN
