"""The report of a run, from its items as they stand now."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping
from typing import Any, cast

from sqlalchemy import Connection, Row, select

from api.jobs.states import JobState
from api.reports.actions import action_for
from api.reports.compile_report import compile_report
from api.reports.report_document import Answer, ReplanState, ReportItem, RevalidationReport, RunState
from api.revalidation.conditions import conditions_of
from api.revalidation.items import items_with_plans
from api.revalidation.plans_to_judge import looked_at
from api.store.instants import now
from api.store.judgements import judgements_against
from api.store.standing import condemned_by
from api.store.tables import jobs, revalidation_items
from optimiser import __version__
from optimiser.case.late_spread import late_spread
from optimiser.run_sheet.standing import Condemned, stop_and_ask

_WORTH_PRINTING_S = 60.0
"""A new sequence that saves less is no reason to change the crew's sheet. Common practice, no source."""

_RUN_STATES: dict[str, RunState] = {
    JobState.QUEUED: "running",
    JobState.RUNNING: "running",
    JobState.FAILED: "failed",
    JobState.CANCELLED: "cancelled",
}


def report_of(connection: Connection, run: Row[Any]) -> RevalidationReport:
    """What is known so far."""
    rows = items_with_plans(connection, run.id, json.loads(run.chosen)["layout_id"])
    state = _run_state(run, rows)
    conditions, judged = conditions_of(rows), judgements_against(connection, run.id)
    return compile_report(
        run_id=run.id,
        made_at=now(),
        tapcall_version=__version__,
        change=json.loads(run.said),
        looked_at=looked_at(json.loads(run.chosen)),
        state=state,
        items=[_item(row, state, conditions[row.number], judged) for row in rows],
    )


def is_planning_again(connection: Connection, run_id: str) -> bool:
    """Is any plan of the run still to be planned again?"""
    query = (
        select(revalidation_items.c.number)
        .join(jobs, jobs.c.id == revalidation_items.c.plan_job_id)
        .where(revalidation_items.c.run_id == run_id, jobs.c.state.in_((JobState.QUEUED, JobState.RUNNING)))
    )
    return connection.execute(query.limit(1)).one_or_none() is not None


def run_state(run: Row[Any], *, planning_again: bool) -> RunState:
    """A run is done when its items are decided and what was to be planned again is planned."""
    if run.state == JobState.SUCCEEDED:
        return "running" if planning_again else "done"
    return _RUN_STATES[run.state]


def _run_state(run: Row[Any], rows: list[Row[Any]]) -> RunState:
    return run_state(run, planning_again=any(row.again_state in {"queued", "running"} for row in rows))


def _item(row: Row[Any], state: RunState, conditions: str, judged: Mapping[str, list[Row[Any]]]) -> ReportItem:
    answer, replan_state = _answer(row), _replan_state(row)
    condemned, again_condemned = (condemned_by(judged.get(one, ())) for one in (row.plan_id, row.again_plan_id))
    stopped = stop_and_ask(condemned) if condemned and answer in {"still_valid", "better_exists"} else ""
    return ReportItem(
        plan_id=row.plan_id,
        case_name=row.name or "",
        layout_id=row.layout_id,
        layout_revision=row.layout_revision,
        resin=row.resin or "",
        batch=row.batch or "",
        answer=answer,
        decided_by=row.decided_by,
        wet_out_before_s=row.wet_out_before_s,
        wet_out_after_s=row.wet_out_after_s,
        gel_limit_before_s=row.gel_limit_before_s,
        gel_limit_after_s=row.gel_limit_after_s,
        margin_before_s=_margin(row.gel_limit_before_s, row.wet_out_before_s),
        margin_after_s=_margin(row.gel_limit_after_s, row.wet_out_after_s),
        reason=_reason(row),
        replan_job_id=row.plan_job_id,
        replan_plan_id=row.again_plan_id,
        replan_state=replan_state,
        replan_wet_out_s=row.again_wet_out_s,
        replan_warning="; ".join(_warnings(row, again_condemned)) if replan_state == "verified" else "",
        conditions=conditions,
        stopped=stopped,
        action=action_for(answer, replan_state=replan_state, run_state=state, stopped=bool(stopped)),
    )


def _answer(row: Row[Any]) -> Answer:
    if row.withdrawn_because is not None:
        return "withdrawn"
    if row.state != "answered":
        return cast(Answer, row.state)
    if row.answer == "still_valid" and _replan_state(row) == "verified" and row.wet_out_after_s is not None:
        saved_s = row.wet_out_after_s - row.again_wet_out_s
        if saved_s >= _WORTH_PRINTING_S:
            return "better_exists"
    return cast(Answer, row.answer)


def _reason(row: Row[Any]) -> str:
    if row.withdrawn_because is not None:
        return f"withdrawn: {row.withdrawn_because}"
    if row.again_withdrawn_because is not None:
        return f"{row.reason}; the new plan was withdrawn: {row.again_withdrawn_because}"
    if _has_later_layout(row):
        return f"{row.reason}; its layout has revision {row.newest_revision} since: ask for a plan of that"
    return row.reason or ""


def _has_later_layout(row: Row[Any]) -> bool:
    return row.layout_revision is not None and row.newest_revision > row.layout_revision


def _warnings(row: Row[Any], condemned: tuple[Condemned, ...]) -> Iterator[str]:
    """What decides whether the new sheet is printed: that it is barred already, a test in doubt, a late spread."""
    if condemned:
        yield f"its sheet begins {stop_and_ask(condemned).removesuffix('.')}"
    if _has_later_layout(row):
        yield f"it is for revision {row.layout_revision} of the layout, which has revision {row.newest_revision} since"
    if row.again_facts is None or row.again_wet_out_s is None:
        return
    facts = json.loads(row.again_facts)
    if (doubted := (facts["resin"].get("taken_from") or {}).get("doubt")) is not None:
        yield doubted
    soonest_s, latest_s = facts["spread_wet_out_s"]
    if soonest_s is not None:
        late = late_spread(row.again_wet_out_s, math.inf if latest_s is None else latest_s, facts["gel_limit_s"])
        yield from [] if late is None else [late]


def _replan_state(row: Row[Any]) -> ReplanState | None:
    if row.again_withdrawn_because is not None:
        return "withdrawn"
    if row.again_state == JobState.SUCCEEDED:
        return cast(ReplanState, row.again_verdict)
    return cast("ReplanState | None", row.again_state)


def _margin(limit_s: float | None, wet_out_s: float | None) -> float | None:
    return None if limit_s is None or wet_out_s is None else limit_s - wet_out_s
