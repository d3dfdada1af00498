"""Have new sheets made of what is wrong now, or of all plans: planned anew, or the sequence played again."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from sqlalchemy import Connection, Row, Select, select, update

from api.jobs.attempt import running_attempt
from api.jobs.states import JobKind
from api.jobs.submit import Question, submit
from api.revalidation.judge import at_level_of
from api.revalidation.runs import PlanAgain
from api.store.cases import NewCase, keep_case, origins_of
from api.store.database import Database
from api.store.tables import cases, plans, revalidation_items
from api.store.withdrawals import is_withdrawn
from optimiser import __version__
from optimiser.case.case_digests import digests_of
from optimiser.case.change_document import ChangeDocument, changed_case
from optimiser.case.read_case import case_from_mapping
from optimiser.case.read_text import read_data
from optimiser.case.sequence_document import sequence_to_document
from optimiser.errors import InputError
from optimiser.revalidation.facts import facts_from_plain


def plan_again(database: Database, token: str, run: Row[Any], change: ChangeDocument) -> None:
    """One job for each; a run that is broken off here goes on with those that have none yet."""
    if run.plan_again == PlanAgain.NEVER:
        return
    with database.read() as connection:
        wanted = list(_wanted(connection, run))
    for item in wanted:
        case = _changed(item, change)
        if case is not None:
            _submit(database, token, run, item, case)


def _wanted(connection: Connection, run: Row[Any]) -> Iterator[Row[Any]]:
    query: Select[Any] = (
        select(
            revalidation_items.c.number,
            revalidation_items.c.answer,
            plans.c.facts,
            plans.c.case_digest,
            cases.c.source,
        )
        .join(plans, plans.c.id == revalidation_items.c.plan_id)
        .join(cases, cases.c.digest == plans.c.case_digest)
        .where(
            revalidation_items.c.run_id == run.id,
            revalidation_items.c.state == "answered",
            revalidation_items.c.plan_job_id.is_(None),
            ~is_withdrawn(),
        )
    )
    if run.plan_again == PlanAgain.INVALID:
        query = query.where(revalidation_items.c.answer != "still_valid")
    yield from connection.execute(query.order_by(revalidation_items.c.number))


def _changed(item: Row[Any], change: ChangeDocument) -> NewCase | None:
    """None where the change makes a case that cannot be planned; the item's reason says so already."""
    data = read_data(bytes(item.source))
    assert isinstance(data, dict)
    try:
        new = changed_case(data, at_level_of(facts_from_plain(json.loads(item.facts)), change))
        case = case_from_mapping(new)
    except InputError:
        return None
    digests = digests_of(case)
    return NewCase(
        digest=case.digest,
        name=case.document.name,
        source=json.dumps(new, ensure_ascii=False).encode(),
        part_digest=digests.part,
        resin_digest=digests.resin,
        settings_digest=digests.settings,
    )


def _question(run: Row[Any], item: Row[Any], case: NewCase) -> Question:
    """A sequence that holds with other times keeps its order: the crew knows it."""
    if run.plan_again == PlanAgain.ALL or item.answer == "no_longer_valid":
        return Question(kind=JobKind.PLAN, software_version=__version__, case_digest=case.digest)
    kept = facts_from_plain(json.loads(item.facts)).sequence
    sequence = sequence_to_document(kept).model_dump_json()
    return Question(kind=JobKind.CHECK, software_version=__version__, case_digest=case.digest, sequence=sequence)


def _submit(database: Database, token: str, run: Row[Any], item: Row[Any], case: NewCase) -> None:
    with database.write() as connection:
        running_attempt(connection, token)
        keep_case(connection, case, *origins_of(connection, item.case_digest))
        job_id = submit(connection, _question(run, item, case), by=run.created_by)
        connection.execute(
            update(revalidation_items)
            .where(revalidation_items.c.run_id == run.id, revalidation_items.c.number == item.number)
            .values(plan_job_id=job_id)
        )
