"""One item as a row of the printed table: what stands in it, as text."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from api.reports.files_to_print import files_to_print
from api.reports.report_document import ReportItem
from api.reports.report_words import DECIDED_BY, has_new_sheet, layout, planned_again
from optimiser.case.printed_minutes import limit_min, margin_min, wet_out_min

UNKNOWN = "–"
_MINUS = "−"


@dataclass(frozen=True, kw_only=True)
class Row:
    """Cells of a row; times in minutes."""

    sheet: str
    """Number of the printed sheet."""
    part: str
    layout: str
    plan_id: str
    conditions: str
    resin: str
    batch: str
    action: str
    too_late: bool
    """The margin now is below nought."""
    margin: tuple[str, str]
    """Before and now, as the next two."""
    wet_out: tuple[str, str]
    gel_limit: tuple[str, str]
    reason: str
    stopped: str
    """What another run has found against its sheet."""
    decided_by: str
    replan: str
    replan_wet_out: str
    replan_id: str
    new_sheet: str
    """Number of the sheet to print in its place; empty where there is none."""
    warning: str
    """Of the new sheet."""
    links: tuple[tuple[str, str], ...]
    """Files to print beside the report: address and what it is."""


def row_of(item: ReportItem, written: Collection[str]) -> Row:
    """`written` are the files that lie beside the report."""
    return Row(
        sheet=item.sheet,
        part=item.case_name,
        layout=layout(item),
        plan_id=item.plan_id,
        conditions=item.conditions,
        resin=item.resin,
        batch=item.batch,
        action=item.action,
        too_late=item.margin_after_s is not None and item.margin_after_s < 0,
        margin=(
            _text(margin_min(item.gel_limit_before_s, item.wet_out_before_s)),
            _text(margin_min(item.gel_limit_after_s, item.wet_out_after_s)),
        ),
        wet_out=(_text(wet_out_min(item.wet_out_before_s)), _text(wet_out_min(item.wet_out_after_s))),
        gel_limit=(_text(limit_min(item.gel_limit_before_s)), _text(limit_min(item.gel_limit_after_s))),
        reason=item.reason,
        stopped=item.stopped,
        decided_by=DECIDED_BY[item.decided_by],
        replan=planned_again(item),
        replan_wet_out="" if item.replan_wet_out_s is None else _text(wet_out_min(item.replan_wet_out_s)),
        replan_id=item.replan_plan_id or item.replan_job_id or "",
        new_sheet=item.replan_sheet if has_new_sheet(item) else "",
        warning=item.replan_warning,
        links=_links(item, written),
    )


def _links(item: ReportItem, written: Collection[str]) -> tuple[tuple[str, str], ...]:
    if not has_new_sheet(item):
        return ()
    return tuple((name, what) for what, name in files_to_print(item.replan_sheet).items() if name in written)


def _text(minutes: float | None) -> str:
    return UNKNOWN if minutes is None else f"{minutes:.1f}".replace("-", _MINUS)
