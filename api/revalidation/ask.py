"""From what is asked to a run that may begin."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import func, select

from api.jobs.compose import kept_revision
from api.readers.pool import ReaderPool
from api.readers.work import change_of
from api.revalidation.known_filter import faults_of_filter
from api.revalidation.plans_to_judge import judged, to_judge
from api.store.database import Database
from api.store.documents import DocumentKind
from api.store.plans import PlanFilter
from api.store.tables import cases, plans
from optimiser.errors import InputError

_MOST_RESINS = 50


@dataclass(frozen=True, kw_only=True)
class ResinAsked:
    """A resin of the store; None for a revision or a batch: the newest, and the data sheet as it stands."""

    resin_id: str
    revision: int | None
    batch: str | None


def change_asked(
    store: Database, readers: ReaderPool, written: Mapping[str, Any], resin: ResinAsked | None
) -> tuple[str, list[str]]:
    """The change as it is kept, and in words; InputError with pointers under /change where it cannot be used."""
    try:
        if resin is None:
            return readers.run(change_of, written, resin=None, batch=None)
        with store.read() as connection:
            row = kept_revision(connection, DocumentKind.RESIN, resin.resin_id, resin.revision)
        return readers.run(change_of, written, resin=bytes(row.source), batch=resin.batch)
    except InputError as error:
        raise InputError(replace(fault, path=f"/change{fault.path}") for fault in error.faults) from error


def refuse_to_judge_nothing(store: Database, chosen: PlanFilter, change: str) -> None:
    """InputError with pointers under /plans, or to the resin of the change, where no plan that could be judged fits.

    A store without any such plan is no fault: the run is done at once, and its report says that it looked at none.
    """
    with store.read() as connection:
        faults = faults_of_filter(connection, to_judge(chosen, change))
    if faults:
        raise InputError(replace(fault, path=_place(fault.path, chosen)) for fault in faults)


def facts_of_resins(store: Database, chosen: PlanFilter, change: str) -> list[str]:
    """Of one plan for each resin of those that a gel test is to move; none where not all of their resins are known."""
    said = json.loads(change)
    if "gel_test" not in said or "resin" in said:
        return []
    of_case = cases.c.digest == plans.c.case_digest
    one_each = judged(select(func.min(plans.c.id)).join(cases, of_case), to_judge(chosen, change))
    query = select(plans.c.facts, cases.c.resin_digest).join(cases, of_case).limit(_MOST_RESINS + 1)
    query = query.where(plans.c.id.in_(one_each.group_by(cases.c.resin_digest)))
    with store.read() as connection:
        rows = connection.execute(query).all()
    is_known = len(rows) <= _MOST_RESINS and all(row.facts and row.resin_digest for row in rows)
    return [row.facts for row in rows] if is_known else []


def _place(path: str, chosen: PlanFilter) -> str:
    return "/change/resin_id" if path == "/resin" and chosen.resin is None else f"/plans{path}"
