"""Writes that wait at the same moment, and what becomes of each when one of them goes wrong."""

from __future__ import annotations

import threading
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from contextvars import ContextVar

import pytest
from sqlalchemy import Connection, event, insert, select, text
from sqlalchemy.exc import DBAPIError, IntegrityError, OperationalError

from api.store.database import Database
from api.store.instants import now
from api.store.tables import audit

LONGEST_WAIT_S = 20.0
TOGETHER = 6

asked_by: ContextVar[str] = ContextVar("asked_by", default="nobody")


class RefusedError(Exception):
    """A write that does not want to be kept."""


def note(connection: Connection, subject: str) -> str:
    connection.execute(insert(audit).values(at=now(), action="test", subject=subject))
    return subject


def noted(store: Database) -> set[str]:
    with store.read() as connection:
        return set(connection.execute(select(audit.c.subject)).scalars())


def together(store: Database, works: list[Callable[[Connection], str]]) -> list[Future[str]]:
    """All of them asked for while another write holds the store, so that they wait at the same moment."""
    pool = ThreadPoolExecutor(len(works))
    with store.write():
        asked = [pool.submit(store.write_together, work) for work in works]
        waiting = store._shared_commits._waiting
        ends = threading.Event()
        while len(waiting) < len(works) - 1 and not ends.wait(0.01):  # the first has its turn already
            pass
    pool.shutdown()
    return asked


def commits(store: Database) -> list[str]:
    """Grows with every commit."""
    seen: list[str] = []
    event.listen(store._engine, "commit", lambda _connection: seen.append("commit"))
    return seen


def test_each_has_its_own_answer_and_all_are_kept(store: Database) -> None:
    """One by one, and all at once."""
    assert store.write_together(lambda connection: note(connection, "alone")) == "alone"
    names = [f"work {number}" for number in range(TOGETHER)]
    asked = together(store, [lambda connection, name=name: note(connection, name) for name in names])  # type: ignore[misc]
    assert [each.result(LONGEST_WAIT_S) for each in asked] == names
    assert noted(store) == {"alone", *names}


def test_those_that_wait_together_share_a_commit(store: Database) -> None:
    """One for the write that they wait for, one for the first of them, one for all the others."""
    seen = commits(store)
    together(store, [lambda connection, n=n: note(connection, f"{n}") for n in range(TOGETHER)])  # type: ignore[misc]
    assert len(noted(store)) == TOGETHER
    assert len(seen) <= 4  # and one of the reading above


def test_one_that_refuses_is_undone_alone(store: Database) -> None:
    """It is told its own error; the others do not notice."""

    def refuse(connection: Connection) -> str:
        note(connection, "refused")
        raise RefusedError("not this one")

    asked = together(store, [lambda c: note(c, "a"), lambda c: note(c, "b"), refuse, lambda c: note(c, "c")])
    with pytest.raises(RefusedError, match="not this one"):
        asked[2].result(LONGEST_WAIT_S)
    assert noted(store) == {"a", "b", "c"}


@pytest.mark.parametrize("statement", ["INSERT INTO audit (id) VALUES (1)", "SELECT nothing FROM nowhere"])
def test_one_that_the_store_refuses_does_not_harm_the_others(store: Database, statement: str) -> None:
    """A broken rule, or no statement at all: the others are done by themselves."""

    def wrong(connection: Connection) -> str:
        note(connection, "wrong")
        connection.execute(text(statement))
        return "never"

    asked = together(store, [lambda c: note(c, "a"), lambda c: note(c, "b"), wrong, lambda c: note(c, "c")])
    with pytest.raises(DBAPIError) as raised:
        asked[2].result(LONGEST_WAIT_S)
    assert isinstance(raised.value, IntegrityError) == statement.startswith("INSERT")
    assert noted(store) == {"a", "b", "c"}


def test_where_the_store_takes_nothing_each_is_told_and_nothing_is_kept(
    sqlite_url: str, open_store: Callable[..., Database]
) -> None:
    """Another process holds it for longer than the busy timeout; after that all goes well."""
    store, other = open_store(sqlite_url, busy_timeout_s=0.05), open_store(sqlite_url)
    with other.write(), ThreadPoolExecutor(TOGETHER) as pool:
        asked = [pool.submit(store.write_together, lambda connection: note(connection, "x")) for _ in range(TOGETHER)]
        for each in asked:
            with pytest.raises(OperationalError, match="locked"):
                each.result(LONGEST_WAIT_S)
    assert noted(store) == set()
    assert store.write_together(lambda connection: note(connection, "later")) == "later"


def test_nobody_waits_in_vain_behind_another_who_did(sqlite_url: str, open_store: Callable[..., Database]) -> None:
    """A dozen writers, by themselves and together, at a locked store: it is asked once, not for each."""
    store, other = open_store(sqlite_url, busy_timeout_s=0.3), open_store(sqlite_url)
    asked: list[object] = []
    event.listen(store._engine, "checkout", lambda connection, *_: asked.append(connection))

    def alone() -> None:
        with store.write() as connection:
            note(connection, "x")

    def write(number: int) -> None:
        ask = alone if number % 2 else lambda: store.write_together(lambda connection: note(connection, "x"))
        with pytest.raises(OperationalError, match="locked"):
            ask()

    with other.write(), ThreadPoolExecutor(2 * TOGETHER) as pool:
        list(pool.map(write, range(2 * TOGETHER)))
        assert 1 <= len(asked) <= 3  # more than one where a thread comes late
        assert store.takes_no_write
    store.write_together(lambda connection: note(connection, "later"))
    assert not store.takes_no_write
    assert noted(store) == {"later"}


def test_work_is_done_in_the_context_of_whoever_asked(store: Database) -> None:
    """Such as the id of the request, whichever thread does the work."""

    def ask(name: str) -> str:
        asked_by.set(name)
        return store.write_together(lambda connection: note(connection, f"{name} {asked_by.get()}"))

    with ThreadPoolExecutor(TOGETHER) as pool:
        list(pool.map(ask, map(str, range(TOGETHER * 5))))
    assert noted(store) == {f"{number} {number}" for number in range(TOGETHER * 5)}
