"""Jobs that take a moment, as the doors would hand them in."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Connection, select

from api.jobs.states import JobKind
from api.jobs.submit import Question, submit
from api.revalidation.runs import NewRun, PlanAgain, begin_run
from api.store.cases import NewCase, Origin, keep_case
from api.store.documents import DocumentKind, NewRevision, add_document
from api.store.plans import NewPlan, PlanFilter
from api.store.tables import revalidations

TINY_CASE = Path(__file__).parents[2] / "tests" / "api" / "tiny_case.yaml"
MADE_UP = b"made up"
"""Source of a case that nobody reads: whoever works on it makes up a plan."""
UNPLANNABLE = b"name: 7"
LOOKED_AT = "looked-at panel"
"""Name of the plans that runs are asked over."""


def ask_plan(connection: Connection, number: int, source: bytes) -> str:
    """A job that plans case `number`: layout, case and job together, as a request makes them."""
    digest, name = f"{number:064x}", f"case {number}"
    revision = NewRevision(kind=DocumentKind.LAYOUT, name=name, digest=digest, source=source)
    layout = add_document(connection, revision, by=None)
    case = NewCase(
        digest=digest, name=name, source=source, part_digest=digest, resin_digest=digest, settings_digest=digest
    )
    keep_case(connection, case, Origin(layout_id=layout.id, layout_revision=1))
    return submit(connection, Question(kind=JobKind.PLAN, software_version="1", case_digest=digest), by=None)


def tiny_case(number: int) -> bytes:
    """A case that is planned in a second or two, under a name of its own."""
    return renamed(b"tiny panel %d" % number)


def ask_looking_up(connection: Connection, number: int) -> str:
    """A run over the kept plans that the facts beside them decide; its job."""
    return _ask_run(connection, gel_test_change(60.0 + number / 1000))


def ask_playing(connection: Connection) -> str:
    """A run over the kept plans that only playing them on the network decides; its job."""
    return _ask_run(connection, '{"mould_temperature_c": 24, "resin_temperature_c": 24}')


def gel_test_change(gel_time_min: float) -> str:
    return f'{{"gel_test": {{"temperature_c": 20, "initiator_percent": 1.5, "gel_time_min": {gel_time_min:.3f}}}}}'


def made_up_plan(document: str) -> NewPlan:
    return NewPlan(
        document=document,
        verdict="no_admissible_sequence",
        wet_out_s=None,
        gel_margin_s=None,
        name="made up",
        resin="demo resin",
        batch="A",
        software_version="1",
        facts="{}",
    )


def _ask_run(connection: Connection, change: str) -> str:
    new = NewRun(change=change, said=(), chosen=PlanFilter(name=LOOKED_AT), plan_again=PlanAgain.NEVER)
    run_id = begin_run(connection, new, by=None)
    return str(connection.execute(select(revalidations.c.job_id).where(revalidations.c.id == run_id)).scalar_one())


def renamed(name: bytes) -> bytes:
    """The tiny case under this name."""
    return TINY_CASE.read_bytes().replace(b"name: tiny panel", b"name: " + name)
