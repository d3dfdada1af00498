"""One item as a row of the printed table: what stands in it, as text."""

from __future__ import annotations

from dataclasses import dataclass

from api.reports.report_document import ReportItem
from api.reports.report_words import DECIDED_BY, REPLANS, layout
from optimiser.revalidation.tenths import limit_min, margin_min, wet_out_min

UNKNOWN = "–"
_MINUS = "−"


@dataclass(frozen=True, kw_only=True)
class Row:
    """Cells of a row; times in minutes."""

    part: str
    layout: str
    plan_id: str
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
    decided_by: str
    replan: str
    replan_wet_out: str
    replan_id: str


def row_of(item: ReportItem) -> Row:
    return Row(
        part=item.case_name,
        layout=layout(item),
        plan_id=item.plan_id,
        resin=item.resin,
        batch=item.batch,
        action=item.action,
        too_late=item.margin_after_s is not None and item.margin_after_s < 0,
        margin=(_text(margin_min(item.margin_before_s)), _text(margin_min(item.margin_after_s))),
        wet_out=(_text(wet_out_min(item.wet_out_before_s)), _text(wet_out_min(item.wet_out_after_s))),
        gel_limit=(_text(limit_min(item.gel_limit_before_s)), _text(limit_min(item.gel_limit_after_s))),
        reason=item.reason,
        decided_by=DECIDED_BY[item.decided_by],
        replan=REPLANS[item.replan_state],
        replan_wet_out="" if item.replan_wet_out_s is None else _text(wet_out_min(item.replan_wet_out_s)),
        replan_id=item.replan_plan_id or item.replan_job_id or "",
    )


def _text(minutes: float | None) -> str:
    return UNKNOWN if minutes is None else f"{minutes:.1f}".replace("-", _MINUS)
