"""A store with a year's work in it, written straight into the tables."""

from __future__ import annotations

import shutil
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from itertools import islice, pairwise
from pathlib import Path
from typing import Any

from sqlalchemy import Table, insert

from api.jobs.job_error import JobError, JobErrorKind
from api.store.database import Database
from api.store.tables import attempts, cases, documents, job_events, jobs, plans, revisions
from benchmarks.service.running_service import opened_store

_AT_ONCE = 10_000
WAITING = 500
"""The newest jobs are queued, a few are failed or cancelled, all others have succeeded."""
_FAILED_EVERY, _CANCELLED_EVERY = 40, 90
_FIRST = datetime(2025, 6, 1, tzinfo=UTC)
_YEAR_S = 365 * 86_400.0
_SOFTWARE = "0.0.9"
"""An earlier one, so that no question meets an answer of this store."""
_ERROR = JobError(kind=JobErrorKind.NOT_CONVERGED, detail="A computation did not settle.").to_json()

Row = dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class Sizes:
    layouts: int
    """With one revision and one case each."""
    jobs: int
    """With an attempt and three events each."""
    plans: int
    """The answers to the newest jobs but for those that wait."""
    layout_bytes: int
    plan_bytes: int


def filled_store(data: Path, sizes: Sizes) -> None:
    """Fill the store of the folder, unless that was done before; another store there is thrown away."""
    mark = data / "filled"
    if mark.exists() and mark.read_text() == repr(sizes):
        return
    shutil.rmtree(data, ignore_errors=True)
    store = opened_store(data)
    for table, rows in _tables(sizes):
        _write(store, table, rows)
    store.close()
    mark.write_text(repr(sizes))


def job_id(number: int) -> str:
    """Of the job that came in as this number, from 0."""
    return f"job_{_digest('job', number)[:32]}"


def layout_id(number: int) -> str:
    return f"layout_{_digest('layout', number)[:32]}"


def moment_of_job(number: int, sizes: Sizes) -> datetime:
    """When the job came in."""
    return _at(number, sizes.jobs)


def _tables(sizes: Sizes) -> Iterator[tuple[Table, Iterator[Row]]]:
    yield documents, _documents(sizes)
    yield revisions, _revisions(sizes)
    yield cases, _cases(sizes)
    yield jobs, (_job(number, sizes) for number in range(sizes.jobs))
    yield attempts, _attempts(sizes)
    yield job_events, _events(sizes)
    yield plans, _plans(sizes)


def _write(store: Database, table: Table, rows: Iterable[Row]) -> None:
    left = iter(rows)
    while some := list(islice(left, _AT_ONCE)):
        with store.write() as connection:
            connection.execute(insert(table), some)


def _documents(sizes: Sizes) -> Iterator[Row]:
    for number in range(sizes.layouts):
        at = _at(number, sizes.layouts)
        yield {
            "id": layout_id(number),
            "kind": "layout",
            "name": f"Hull side {number}",
            "revision": 1,
            "digest": _digest("case", number),
            "created_at": at,
            "updated_at": at,
        }


def _revisions(sizes: Sizes) -> Iterator[Row]:
    source = b" " * sizes.layout_bytes
    for number in range(sizes.layouts):
        yield {
            "document_id": layout_id(number),
            "revision": 1,
            "digest": _digest("case", number),
            "source": source,
            "created_at": _at(number, sizes.layouts),
        }


def _cases(sizes: Sizes) -> Iterator[Row]:
    source = b" " * sizes.layout_bytes
    for number in range(sizes.layouts):
        yield {
            "digest": _digest("case", number),
            "name": f"Hull side {number}",
            "source": source,
            "part_digest": _digest("part", number // 10),
            "resin_digest": _digest("resin", number % 20),
            "settings_digest": _digest("settings", number % 50),
            "layout_id": layout_id(number),
            "layout_revision": 1,
            "created_at": _at(number, sizes.layouts),
        }


def _job(number: int, sizes: Sizes) -> Row:
    state, at = _state(number, sizes), _at(number, sizes.jobs)
    return {
        "id": job_id(number),
        "kind": "plan" if number % 10 else "check",
        "question": _digest("question", number),
        "case_digest": _digest("case", number % sizes.layouts),
        "software_version": _SOFTWARE,
        "state": state,
        "phase": "waiting" if state == "queued" else "done",
        "fraction": 0.0 if state == "queued" else 1.0,
        "error": _ERROR if state == "failed" else None,
        "created_at": at,
        "updated_at": at if state == "queued" else at + timedelta(seconds=75),
    }


def _attempts(sizes: Sizes) -> Iterator[Row]:
    for number in range(sizes.jobs):
        if (state := _state(number, sizes)) != "queued":
            at = _at(number, sizes.jobs)
            yield {
                "token": _digest("token", number)[:32],
                "job_id": job_id(number),
                "number": 1,
                "started_at": at,
                "lease_until": at + timedelta(seconds=90),
                "ended_at": at + timedelta(seconds=75),
                "outcome": state,
                "reason": state,
            }


def _events(sizes: Sizes) -> Iterator[Row]:
    for number in range(sizes.jobs):
        state, at = _state(number, sizes), _at(number, sizes.jobs)
        states = (None, "queued") if state == "queued" else (None, "queued", "running", state)
        for before, after in pairwise(states):
            yield {"job_id": job_id(number), "at": at, "from_state": before, "to_state": after, "reason": "as planned"}


def _plans(sizes: Sizes) -> Iterator[Row]:
    document = " " * sizes.plan_bytes
    waiting_from = sizes.jobs - WAITING
    for number in range(max(0, waiting_from - sizes.plans), waiting_from):
        if _state(number, sizes) == "succeeded":
            yield {
                "id": f"plan_{_digest('plan', number)[:24]}",
                "job_id": job_id(number),
                "case_digest": _digest("case", number % sizes.layouts),
                "name": f"Hull side {number % sizes.layouts}",
                "resin": f"demo resin {number % 7}",
                "batch": f"B-{number % 900}",
                "software_version": _SOFTWARE,
                "verdict": "verified" if number % 30 else "not_admissible",
                "wet_out_s": 1800.0,
                "gel_margin_s": 600.0,
                "sha256": _digest("plan", number),
                "document": document,
                "facts": " " * 3000,
                "created_at": _at(number, sizes.jobs) + timedelta(seconds=75),
            }


def _state(number: int, sizes: Sizes) -> str:
    if number >= sizes.jobs - WAITING:
        return "queued"
    if number % _FAILED_EVERY == 1:
        return "failed"
    return "cancelled" if number % _CANCELLED_EVERY == 2 else "succeeded"


def _at(number: int, of: int) -> datetime:
    """The moment of one of so many, evenly over the year."""
    return _FIRST + timedelta(seconds=round(_YEAR_S * number / of, 3))


def _digest(kind: str, number: int) -> str:
    return sha256(f"{kind} {number}".encode()).hexdigest()
