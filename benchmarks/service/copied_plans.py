"""Many stored plans, all copied from a few that were really made."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from hashlib import sha256
from itertools import islice
from typing import Any

from sqlalchemy import insert

from api.jobs.states import JobKind, JobState
from api.readers.work import case_of, layout_of
from api.store.cases import NewCase, Origin, keep_case
from api.store.database import Database
from api.store.documents import add_document
from api.store.instants import now
from api.store.tables import jobs, plans
from optimiser import __version__
from optimiser.case.plan_document import PlanDocument
from optimiser.case.planning import plan_case
from optimiser.case.read_case import Case, read_case
from optimiser.revalidation.facts import facts_of, facts_to_plain

_AT_ONCE = 500


@dataclass(frozen=True, kw_only=True)
class Original:
    """A case, and the plan that was made for it."""

    source: bytes
    case: Case
    plan: PlanDocument

    @property
    def facts(self) -> str:
        return json.dumps(facts_to_plain(facts_of(self.case, self.plan)), separators=(",", ":"))


def original_of(data: Mapping[str, Any]) -> Original:
    """Planned here and now, on all cores."""
    source = json.dumps(data).encode()
    case = read_case(source)
    return Original(source=source, case=case, plan=plan_case(case))


def keep_copies(store: Database, original: Original, number: int) -> None:
    """So many verified plans of one case, each with a job of its own."""
    case = _keep_case(store, original)
    document, facts = original.plan.model_dump_json(), original.facts
    left = iter(range(number))
    while some := list(islice(left, _AT_ONCE)):
        with store.write() as connection:
            connection.execute(insert(jobs), list(_jobs(case, some)))
            connection.execute(insert(plans), list(_plans(original, case, document, facts, some)))


def _keep_case(store: Database, original: Original) -> NewCase:
    case = case_of(original.source, resin=None, batch=None, changes=None)
    with store.write() as connection:
        layout = add_document(connection, layout_of(original.source), by=None)
        keep_case(connection, case, Origin(layout_id=layout.id, layout_revision=layout.revision))
    return case


def _jobs(case: NewCase, numbers: list[int]) -> Iterator[dict[str, Any]]:
    for number in numbers:
        yield {
            "id": f"job_{_digest(case, number)[:32]}",
            "kind": JobKind.PLAN,
            "question": _digest(case, number),
            "case_digest": case.digest,
            "software_version": __version__,
            "state": JobState.SUCCEEDED,
            "phase": "done",
            "fraction": 1.0,
            "created_at": now(),
            "updated_at": now(),
        }


def _plans(
    original: Original, case: NewCase, document: str, facts: str, numbers: list[int]
) -> Iterator[dict[str, Any]]:
    for number in numbers:
        yield {
            "id": f"plan_{_digest(case, number)[:24]}",
            "job_id": f"job_{_digest(case, number)[:32]}",
            "case_digest": case.digest,
            "name": case.name,
            "resin": original.case.document.resin.name,
            "batch": original.case.document.resin.batch,
            "software_version": __version__,
            "verdict": original.plan.verdict,
            "wet_out_s": original.plan.wet_out_s,
            "sha256": _digest(case, number),
            "document": document,
            "facts": facts,
            "created_at": now(),
        }


def _digest(case: NewCase, number: int) -> str:
    return sha256(f"{case.digest} {number}".encode()).hexdigest()
