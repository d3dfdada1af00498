"""A run over stored plans: begun with all its items, so that it can be broken off anywhere and goes on from there."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from enum import StrEnum
from typing import Any
from uuid import uuid4

from sqlalchemy import Connection, Row, func, insert, literal, select

from api.jobs.states import JobKind
from api.jobs.submit import Question, submit
from api.revalidation.plans_to_judge import judged, to_judge
from api.store.instants import now
from api.store.pages import Page, read_page
from api.store.plans import PlanFilter
from api.store.tables import cases, jobs, plans, revalidation_items, revalidations
from optimiser import __version__


class PlanAgain(StrEnum):
    """Which of the plans are planned again for the changed case."""

    NEVER = "never"
    INVALID = "invalid"
    """Those whose sheet is wrong now: what holds no longer is planned anew, what holds with other times is played with
    its own sequence, so that there is a new sheet of it."""
    ALL = "all"
    """All of them: a better sequence may exist."""


@dataclass(frozen=True, kw_only=True)
class NewRun:
    change: str
    """JSON of a `ChangeDocument`."""
    said: tuple[str, ...]
    """The change in sentences, for people."""
    chosen: PlanFilter
    plan_again: PlanAgain


def begin_run(connection: Connection, new: NewRun, *, by: str | None) -> str:
    """Keep the run with an item for each plan chosen, and the job that works on it; returns the run's id.

    Which plans are looked at is told by `to_judge`; that there are any, by `faults_of_filter`.
    """
    chosen = to_judge(new.chosen, new.change)
    run_id = f"revalidation_{uuid4().hex[:24]}"
    question = Question(kind=JobKind.REVALIDATION, software_version=__version__, once=run_id)
    job_id = submit(connection, question, by=by)
    query = select(plans.c.id, cases.c.part_digest).join(cases, cases.c.digest == plans.c.case_digest)
    asked = judged(query, chosen).subquery()
    count = connection.execute(select(func.count()).select_from(asked)).scalar_one()
    connection.execute(
        insert(revalidations).values(
            id=run_id,
            job_id=job_id,
            change=new.change,
            said=json.dumps(new.said),
            chosen=json.dumps(asdict(chosen)),
            plan_again=new.plan_again,
            asked=count,
            created_at=now(),
            created_by=by,
        )
    )
    # Plans of one part stand together, so that its network is made once for them all.
    place = func.row_number().over(order_by=(asked.c.part_digest, asked.c.id))
    numbered = select(literal(run_id), place, asked.c.id, literal("open"), literal(0))
    columns = ["run_id", "number", "plan_id", "state", "tries"]
    connection.execute(insert(revalidation_items).from_select(columns, numbered))
    return run_id


def find_run(connection: Connection, run_id: str) -> Row[Any] | None:
    """The run, the state of its job, and how far it is."""
    return connection.execute(_runs().where(revalidations.c.id == run_id)).one_or_none()


def run_of_job(connection: Connection, job_id: str) -> Row[Any]:
    """The run that this job works on."""
    return connection.execute(_runs().where(revalidations.c.job_id == job_id)).one()


def list_runs(connection: Connection, *, limit: int, cursor: str | None) -> Page:
    """Newest first."""
    return read_page(connection, _runs(), of="revalidation", limit=limit, cursor=cursor)


def _runs() -> Any:
    return select(revalidations, jobs.c.state, jobs.c.phase, jobs.c.fraction).join(
        jobs, jobs.c.id == revalidations.c.job_id
    )
