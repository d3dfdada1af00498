"""What a write costs the store does not grow with what it holds: counted in steps of SQLite's machine, not in time."""

from __future__ import annotations

from collections.abc import Callable
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


@pytest.mark.parametrize("write", [kept, asked, revised], ids=["a layout", "a plan asked for", "a revision"])
def test_the_last_of_many_costs_what_the_first_did(
    sqlite_url: str, open_store: Callable[..., Database], write: Callable[[Connection, int], object]
) -> None:
    """Within a half: indexes grow a level deeper now and then. A scan of what is kept would be fifty times as much."""
    store = open_store(sqlite_url)
    with store.write() as connection:
        for number in range(FEW):
            asked(connection, number)
    before = steps(store, write, FEW)
    with store.write() as connection:
        for number in range(FEW + 1, MANY):
            asked(connection, number)
    assert before > 0
    assert steps(store, write, MANY) <= 1.5 * before + 2
