"""A server that goes away, stands still or is too busy. Collected where the tests are given one."""

from __future__ import annotations

import socket
import time
from collections.abc import Callable
from typing import Any

import pytest
from sqlalchemy import func, insert, select
from sqlalchemy.exc import DBAPIError, OperationalError

from api.store.database import Database
from api.store.instants import now
from api.store.tables import audit

Open = Callable[..., Database]
pytestmark = pytest.mark.parametrize("engine", ["postgresql"])


def note(connection: Any) -> None:
    connection.execute(insert(audit).values(at=now(), action="test", subject="x"))


def count(store: Database) -> int:
    with store.read() as connection:
        return int(connection.execute(select(func.count()).select_from(audit)).scalar_one())


def cut_all_connections(server: Any, store: Database) -> None:
    """What a restart of the server looks like from here."""
    server.run(f"SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = '{store.url.database}'")


def test_a_restarted_server_is_survived_by_the_next_transaction(server: Any, store: Database) -> None:
    """Connections kept from before it are dead; nobody who comes after it notices."""
    assert count(store) == 0
    cut_all_connections(server, store)
    with store.write() as connection:
        note(connection)
    cut_all_connections(server, store)
    assert count(store) == 1


@pytest.mark.parametrize("then", ["go on", "commit"])
def test_a_server_that_goes_away_within_a_write_leaves_nothing(server: Any, store: Database, then: str) -> None:
    """The writer gets the error that callers try again after, be it at a statement or at the commit."""

    def write_while_it_goes() -> None:
        with store.write() as connection:
            note(connection)
            cut_all_connections(server, store)
            if then == "go on":
                note(connection)

    with pytest.raises(OperationalError):
        write_while_it_goes()
    assert count(store) == 0


def test_a_writer_that_stands_still_is_cut_off_before_the_next_gives_up(store_url: str, open_store: Open) -> None:
    """A process that is stopped in the middle of a write does not stop the others; its own write is not kept."""
    still, next_one = open_store(store_url, busy_timeout_s=1.0), open_store(store_url, busy_timeout_s=1.0)

    def stand_still() -> None:
        with still.write() as connection:
            note(connection)
            with next_one.write() as other:
                note(other)
                note(other)

    with pytest.raises(OperationalError):
        stand_still()
    assert count(next_one) == 2


def test_a_server_that_cannot_be_reached_is_said_at_once(store_url: str, open_store: Open) -> None:
    """A closed port is an OperationalError of the first transaction, not of opening the store."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    nobody = open_store(f"postgresql+psycopg://nobody@127.0.0.1:{port}/nothing")
    started_s = time.monotonic()
    with pytest.raises(OperationalError), nobody.read():
        raise AssertionError("there is nobody")
    assert time.monotonic() - started_s < 2.0  # refused at once; a second or two is a slow machine


def test_a_read_cannot_write(store: Database) -> None:
    """A write by mistake of the program is refused, and is not taken for a server in trouble."""
    with pytest.raises(DBAPIError) as refused, store.read() as connection:
        note(connection)
    assert "read-only" in str(refused.value.orig)
    assert not isinstance(refused.value, OperationalError)


def test_a_url_without_a_driver_means_ours(store_url: str, open_store: Open) -> None:
    """As other programs write it: postgresql://host/name."""
    assert count(open_store(store_url.replace("+psycopg", ""))) == 0
