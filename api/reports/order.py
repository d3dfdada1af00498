"""The order in which a planner acts on the items of a report."""

from __future__ import annotations

import math
from collections.abc import Iterable

from api.reports.groups import Group, group_of
from api.reports.report_document import ReportItem

_BY_MARGIN = frozenset(
    {Group.WITHOUT_A_PLAN, Group.WITH_A_NEW_PLAN, Group.NEW_CLOCK, Group.STOPPED_BEFORE, Group.STILL_VALID}
)


def acting_order(items: Iterable[ReportItem]) -> list[ReportItem]:
    """By group; where there is an answer, the smallest margin first; else as given.

    An answer without a margin comes before all with one: a part that never wets out has no margin at all.
    """
    return sorted(items, key=_key)


def by_group(items: Iterable[ReportItem]) -> dict[Group, list[ReportItem]]:
    """All groups, also empty ones, each in acting order."""
    groups: dict[Group, list[ReportItem]] = {group: [] for group in Group}
    for item in acting_order(items):
        groups[group_of(item)].append(item)
    return groups


def _key(item: ReportItem) -> tuple[Group, float]:
    group = group_of(item)
    if group not in _BY_MARGIN:
        return group, 0.0
    return group, -math.inf if item.margin_after_s is None else item.margin_after_s
