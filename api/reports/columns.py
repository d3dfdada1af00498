"""The columns that CSV and XLSX share: text that may be anything, and numbers with their unit in the head."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from api.reports.report_document import ReportItem
from api.reports.report_words import ANSWERS, DECIDED_BY, has_new_sheet, planned_again
from optimiser.case.printed_minutes import limit_min, margin_min, wet_out_min


@dataclass(frozen=True, kw_only=True)
class TextColumn:
    """Words and names."""

    head: str
    width: int
    """In characters, for a spreadsheet."""
    value: Callable[[ReportItem], str | None]


@dataclass(frozen=True, kw_only=True)
class NumberColumn:
    """A count, or minutes to one decimal."""

    head: str
    width: int
    """In characters, for a spreadsheet."""
    value: Callable[[ReportItem], int | float | None]
    decimals: int


Column = TextColumn | NumberColumn


def _minutes(head: str, value: Callable[[ReportItem], float | None]) -> NumberColumn:
    return NumberColumn(head=f"{head} (min)", width=13, value=value, decimals=1)


COLUMNS: Final[tuple[Column, ...]] = (
    TextColumn(head="Sheet", width=13, value=lambda item: item.sheet),
    TextColumn(head="Do", width=44, value=lambda item: item.action),
    TextColumn(head="Part", width=32, value=lambda item: item.case_name),
    TextColumn(head="Made for", width=40, value=lambda item: item.conditions),
    TextColumn(head="Resin", width=22, value=lambda item: item.resin),
    TextColumn(head="Batch", width=14, value=lambda item: item.batch),
    TextColumn(head="Answer", width=18, value=lambda item: ANSWERS[item.answer]),
    _minutes("Margin before", lambda item: margin_min(item.gel_limit_before_s, item.wet_out_before_s)),
    _minutes("Margin now", lambda item: margin_min(item.gel_limit_after_s, item.wet_out_after_s)),
    _minutes("Wet-out before", lambda item: wet_out_min(item.wet_out_before_s)),
    _minutes("Wet-out now", lambda item: wet_out_min(item.wet_out_after_s)),
    _minutes("Gel limit before", lambda item: limit_min(item.gel_limit_before_s)),
    _minutes("Gel limit now", lambda item: limit_min(item.gel_limit_after_s)),
    TextColumn(head="Why", width=60, value=lambda item: item.reason),
    TextColumn(head="Stopped by another run", width=44, value=lambda item: item.stopped),
    TextColumn(head="Planned again", width=24, value=planned_again),
    TextColumn(head="New sheet", width=13, value=lambda item: item.replan_sheet if has_new_sheet(item) else None),
    TextColumn(head="Warning on the new sheet", width=44, value=lambda item: item.replan_warning),
    _minutes("Planned again, wet-out", lambda item: wet_out_min(item.replan_wet_out_s)),
    TextColumn(head="Decided by", width=24, value=lambda item: DECIDED_BY[item.decided_by]),
    TextColumn(head="Plan id", width=40, value=lambda item: item.plan_id),
    TextColumn(head="Planned again, id", width=40, value=lambda item: item.replan_plan_id),
    TextColumn(head="Planned again, job id", width=40, value=lambda item: item.replan_job_id),
    TextColumn(head="Layout id", width=40, value=lambda item: item.layout_id),
    NumberColumn(head="Layout revision", width=10, value=lambda item: item.layout_revision, decimals=0),
)
