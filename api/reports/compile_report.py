"""From the items of a run to its report: counted and put in order."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime

from api.reports.order import acting_order
from api.reports.report_document import ReportItem, RevalidationReport, RunState, counts_of


def compile_report(
    *,
    run_id: str,
    made_at: datetime,
    tapcall_version: str,
    change: Sequence[str],
    looked_at: str = "",
    state: RunState,
    items: Iterable[ReportItem],
) -> RevalidationReport:
    """The report of a run; `items` are all plans it was asked about."""
    ordered = acting_order(items)
    counts = counts_of(ordered)
    return RevalidationReport(
        run_id=run_id,
        made_at=made_at,
        tapcall_version=tapcall_version,
        change=list(change),
        looked_at=looked_at,
        state=state,
        asked=len(ordered),
        answered=counts.answered,
        set_aside=counts.set_aside,
        open=counts.open,
        counts=counts,
        items=ordered,
    )
