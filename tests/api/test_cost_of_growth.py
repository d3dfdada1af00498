"""What a write costs the store does not grow with what it holds: counted in steps of SQLite's machine, not in time."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Connection

from api.jobs.states import JobKind
from api.jobs.submit import Question, submit
from api.store.cases import NewCase, Origin, keep_case
from api.store.database import Database
from api.store.documents import DocumentKind, NewRevision, add_document, revise

FEW, MANY = 20, 1_500
STEPS_AT_ONCE = 50


def kept(connection: Connection, number: int) -> str:
    """A layout as a client sends it."""
    new = NewRevision(kind=DocumentKind.LAYOUT, name=f"panel {number}", digest=f"{number:064x}", source=b"name: panel")
    return str(add_document(connection, new, by=None).id)


def asked(connection: Connection, number: int) -> str:
    """A job that plans it."""
    digest = f"{number:064x}"
    case = NewCase(
        digest=digest,
        name=f"panel {number}",
        source=b"name: panel",
        part_digest=digest,
        resin_digest=digest,
        settings_digest=digest,
    )
    keep_case(connection, case, Origin(layout_id=kept(connection, number), layout_revision=1))
    return submit(connection, Question(kind=JobKind.PLAN, software_version="1", case_digest=digest), by=None)


def revised(connection: Connection, number: int) -> None:
    """A new revision of a layout that is there."""
    new = NewRevision(kind=DocumentKind.LAYOUT, name="panel", digest=f"{-number & 2**64 - 1:064x}", source=b"name: p")
    revise(connection, kept(connection, 1), new, expected=None, by=None)


def steps(store: Database, write: Callable[[Connection, int], object], number: int) -> int:
    """Of SQLite's machine, in fifties."""
    counted = 0

    def count() -> int:
        nonlocal counted
        counted += 1
        return 0

    with store.write() as connection:
        driver: Any = connection.connection.driver_connection
        driver.set_progress_handler(count, STEPS_AT_ONCE)
        try:
            write(connection, number)
        finally:
            driver.set_progress_handler(None, 0)
    return counted


WRITES = {"a layout": kept, "a plan asked for": asked, "a revision": revised}


@pytest.fixture(scope="module")
def counted(migrated_file: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[int, int]]:
    """Steps of each write in a store that holds few layouts with their jobs, and in the same one when it holds many."""
    copied = shutil.copy(migrated_file, tmp_path_factory.mktemp("growth") / "store.sqlite3")
    store = Database(f"sqlite:///{copied}", busy_timeout_s=10.0)
    fill(store, range(FEW))
    few = [steps(store, write, FEW + k) for k, write in enumerate(WRITES.values())]
    fill(store, range(FEW + len(WRITES), MANY))
    many = [steps(store, write, MANY + k) for k, write in enumerate(WRITES.values())]
    store.close()
    return dict(zip(WRITES, zip(few, many, strict=True), strict=True))


def fill(store: Database, numbers: range) -> None:
    with store.write() as connection:
        for number in numbers:
            asked(connection, number)


@pytest.mark.parametrize("write", WRITES)
def test_the_last_of_many_costs_what_the_first_did(counted: dict[str, tuple[int, int]], write: str) -> None:
    """Within a half: indexes grow a level deeper now and then. A scan of what is kept would be fifty times as much."""
    first, last = counted[write]
    assert first > 0
    assert last <= 1.5 * first + 2
