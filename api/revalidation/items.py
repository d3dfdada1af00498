"""The items of a run: one for each stored plan. Every write names the attempt, and is refused once that has ended."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, Select, func, select, update

from api.jobs.attempt import running_attempt
from api.store.cases import shown_origin
from api.store.database import Database
from api.store.instants import now
from api.store.tables import cases, documents, jobs, plans, revalidation_items, withdrawals
from api.store.withdrawals import is_withdrawn


@dataclass(frozen=True, kw_only=True)
class Judged:
    """What was found of one item; times in seconds from the first tap."""

    answer: str | None
    """None: set aside, nothing could be said."""
    decided_by: str | None
    reason: str
    wet_out_before_s: float | None = None
    wet_out_after_s: float | None = None
    gel_limit_before_s: float | None = None
    gel_limit_after_s: float | None = None


def open_items(connection: Connection, run_id: str, *, after: int = 0, most: int = 500) -> list[Row[Any]]:
    """Items that are not decided, in order: number, plan_id, tries, the facts kept beside the plan, and whether
    somebody has withdrawn it since the run began."""
    query: Select[Any] = (
        select(
            revalidation_items.c.number,
            revalidation_items.c.plan_id,
            revalidation_items.c.tries,
            plans.c.facts,
            is_withdrawn().label("withdrawn"),
        )
        .join(plans, plans.c.id == revalidation_items.c.plan_id)
        .where(
            revalidation_items.c.run_id == run_id,
            revalidation_items.c.state == "open",
            revalidation_items.c.number > after,
        )
    )
    return list(connection.execute(query.order_by(revalidation_items.c.number).limit(most)).all())


def source_of_item(connection: Connection, run_id: str, number: int) -> Row[Any]:
    """The whole case of the item's plan, and the facts kept beside it."""
    query: Select[Any] = (
        select(cases.c.source, plans.c.facts)
        .join(plans, plans.c.case_digest == cases.c.digest)
        .join(revalidation_items, revalidation_items.c.plan_id == plans.c.id)
        .where(revalidation_items.c.run_id == run_id, revalidation_items.c.number == number)
    )
    return connection.execute(query).one()


def begin(database: Database, token: str, run_id: str, number: int) -> None:
    """Note that its computation begins, so that an item which ends the process is known by its tries."""
    with database.write() as connection:
        running_attempt(connection, token)
        connection.execute(
            update(revalidation_items)
            .where(revalidation_items.c.run_id == run_id, revalidation_items.c.number == number)
            .values(tries=revalidation_items.c.tries + 1)
        )


def settle(database: Database, token: str, run_id: str, judged: Mapping[int, Judged]) -> None:
    """Write what was found; an item that is decided already stays as it is."""
    with database.write() as connection:
        running_attempt(connection, token)
        at = now()
        for number, found in judged.items():
            connection.execute(
                update(revalidation_items)
                .where(
                    revalidation_items.c.run_id == run_id,
                    revalidation_items.c.number == number,
                    revalidation_items.c.state == "open",
                )
                .values(
                    state="set_aside" if found.answer is None else "answered",
                    answer=found.answer,
                    decided_by=found.decided_by,
                    reason=found.reason,
                    wet_out_before_s=found.wet_out_before_s,
                    wet_out_after_s=found.wet_out_after_s,
                    gel_limit_before_s=found.gel_limit_before_s,
                    gel_limit_after_s=found.gel_limit_after_s,
                    decided_at=at,
                )
            )


def counted(connection: Connection, run_id: str) -> dict[str, int]:
    """Number of items by state."""
    query = select(revalidation_items.c.state, func.count()).where(revalidation_items.c.run_id == run_id)
    rows = connection.execute(query.group_by(revalidation_items.c.state))
    return {str(state): int(count) for state, count in rows}


def counted_again(connection: Connection, run_id: str) -> dict[str, int]:
    """Number of jobs that plan again, by state."""
    query = select(jobs.c.state, func.count()).join(revalidation_items, revalidation_items.c.plan_job_id == jobs.c.id)
    rows = connection.execute(query.where(revalidation_items.c.run_id == run_id).group_by(jobs.c.state))
    return {str(state): int(count) for state, count in rows}


def items_with_plans(connection: Connection, run_id: str, layout_id: str | None) -> list[Row[Any]]:
    """Every item with its plan, the layout it came from, and what planning it again has led to.

    The layout is the one that the run was asked for, or else the first that the plan was asked from.
    """
    again, origin, again_withdrawn = plans.alias("again"), shown_origin(layout_id), withdrawals.alias("again_withdrawn")
    query = (
        select(
            revalidation_items,
            plans.c.name,
            plans.c.resin,
            plans.c.batch,
            origin.c.layout_id,
            origin.c.layout_revision,
            cases.c.settings_digest,
            plans.c.facts,
            plans.c.created_at,
            plans.c.software_version,
            again.c.facts.label("again_facts"),
            jobs.c.state.label("again_state"),
            again.c.id.label("again_plan_id"),
            again.c.verdict.label("again_verdict"),
            again.c.wet_out_s.label("again_wet_out_s"),
            documents.c.revision.label("newest_revision"),
            withdrawals.c.reason.label("withdrawn_because"),
            again_withdrawn.c.reason.label("again_withdrawn_because"),
        )
        .join(plans, plans.c.id == revalidation_items.c.plan_id)
        .join(origin, origin.c.case_digest == plans.c.case_digest)
        .join(cases, cases.c.digest == plans.c.case_digest)
        .outerjoin(jobs, jobs.c.id == revalidation_items.c.plan_job_id)
        .outerjoin(again, again.c.job_id == jobs.c.id)
        .outerjoin(documents, documents.c.id == origin.c.layout_id)
        .outerjoin(withdrawals, withdrawals.c.plan_id == plans.c.id)
        .outerjoin(again_withdrawn, again_withdrawn.c.plan_id == again.c.id)
        .where(revalidation_items.c.run_id == run_id)
    )
    return list(connection.execute(query.order_by(revalidation_items.c.number)).all())
