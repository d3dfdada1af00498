"""Stored plans for runs to look at: one is planned in earnest, the others say the same."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Row, select

from api.jobs.attempt import claim, finish_with_plan
from api.jobs.states import JobKind
from api.jobs.submit import Question, submit
from api.store.database import Database
from api.store.plans import NewPlan
from api.store.tables import plans
from benchmarks.durability.holders import drain
from benchmarks.durability.place import Place
from benchmarks.durability.quick_jobs import LOOKED_AT, ask_plan, renamed

_FIELDS = ("verdict", "wet_out_s", "gel_margin_s", "resin", "batch", "software_version")
_NUMBER = 10**9
_planned: list[Row[Any]] = []
"""The one plan, once it is made: planning it again in each store would only take time."""


def keep_plans(place: Place, number: int, *, first: int = 0) -> list[str]:
    """Plans of these numbers in a store that nobody works on now; their jobs."""
    source, made = renamed(LOOKED_AT.encode()), list[str]()
    if not _planned:
        _planned.append(_plan(place, source))
        made.append(_planned[0].job_id)
    database = place.open()
    made += [_keep_one(database, source, " " * each) for each in range(first + len(made), first + number)]
    database.close()
    return made


def _plan(place: Place, source: bytes) -> Row[Any]:
    database = place.open()
    with database.write() as connection:
        job_id = ask_plan(connection, _NUMBER, source)
    drain(place.settings(), holders=1)
    with database.read() as connection:
        row = connection.execute(select(plans).where(plans.c.job_id == job_id)).one()
    database.close()
    return row


def _keep_one(database: Database, source: bytes, padding: str) -> str:
    """Plans are told apart by their bytes, so each is a blank longer than the one before, and so are its facts."""
    with database.write() as connection:
        job_id = ask_plan(connection, _NUMBER, source)
        if padding:
            question = Question(
                kind=JobKind.PLAN, software_version="1", case_digest=f"{_NUMBER:064x}", once=f"copy {len(padding)}"
            )
            job_id = submit(connection, question, by=None)
    claimed = claim(database, lease_s=60.0)
    assert claimed is not None
    assert claimed.job_id == job_id
    plan, values = _planned[0], {field: getattr(_planned[0], field) for field in _FIELDS}
    document, facts = plan.document + padding, plan.facts + padding
    finish_with_plan(database, claimed.token, NewPlan(document=document, facts=facts, name=LOOKED_AT, **values))
    return job_id
