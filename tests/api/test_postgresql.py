"""What only a server can do: go away, stand still, ask for its own programs. Collected where the tests have one."""

from __future__ import annotations

import socket
import sqlite3
import time
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import MetaData, func, insert, make_url, select
from sqlalchemy.exc import DBAPIError, OperationalError

from api.store.backup import back_up
from api.store.backup_error import BackupError
from api.store.database import Database
from api.store.instants import now
from api.store.migrate import migrate
from api.store.proof import prove
from api.store.tables import audit, cases, jobs

Open = Callable[..., Database]
pytestmark = [pytest.mark.usefixtures("engine"), pytest.mark.parametrize("engine", ["postgresql"])]


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


def test_a_server_that_cannot_be_reached_is_said_at_once(open_store: Open) -> None:
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


def test_the_same_rows_have_the_same_proof_on_either_engine(store: Database, sqlite_url: str, open_store: Open) -> None:
    """Text, bytes, numbers, times, nothing: a digest does not tell who keeps them."""
    at = datetime(2026, 3, 29, 12, 0, 0, 7, tzinfo=UTC)
    embedded = open_store(sqlite_url)
    for one in (store, embedded):
        with one.write() as connection:
            for key in ("B", "a", "_", "é", "Z"):
                connection.execute(insert(cases).values(digest=key, name=key * 3, source=b"\0\xff", created_at=at))
            connection.execute(
                insert(jobs).values(
                    id="j",
                    kind="plan",
                    question="q",
                    case_digest="a",
                    software_version="1",
                    state="queued",
                    phase="waiting",
                    fraction=0.1,
                    created_at=at,
                    updated_at=at,
                )
            )
    with store.read() as here, embedded.read() as there:
        assert prove(here) == prove(there)


@pytest.fixture
def programs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[str], Path]:
    """Puts a pg_dump of our own in place of all programs; it says its version and notes how it was called."""

    def put(version: str) -> Path:
        folder, calls = tmp_path / "bin", tmp_path / "calls"
        folder.mkdir()
        for name in ("pg_dump", "pg_restore"):
            script = f'#!/bin/sh\necho "$@ [$PGPASSWORD]" >>{calls}\necho "{name} (PostgreSQL) {version}"\n'
            (folder / name).write_text(script)
            (folder / name).chmod(0o755)
        monkeypatch.setenv("PATH", str(folder))
        return calls

    return put


def test_a_backup_without_the_client_programs_says_what_to_install(
    store: Database, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Not a trace, and no file."""
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(BackupError, match="pg_dump is not installed"):
        back_up(store, tmp_path / "backup")
    assert list(tmp_path.iterdir()) == []


def test_a_backup_by_programs_older_than_the_server_is_refused(
    store: Database, tmp_path: Path, programs: Callable[[str], Path]
) -> None:
    """pg_dump itself would refuse, in words of its own; this names both versions."""
    programs("9.6.24 (of long ago)")
    with pytest.raises(BackupError, match=r"too old: the server is version \d+, and it says .*9\.6\.24"):
        back_up(store, tmp_path / "backup")


def test_the_password_is_on_no_command_line(
    store_url: str, open_store: Open, tmp_path: Path, programs: Callable[[str], Path]
) -> None:
    """Everybody on a machine can list command lines; the program gets it by its environment."""
    calls = programs("99.1")
    with_password = make_url(store_url).set(password="s e'cret").render_as_string(hide_password=False)
    with pytest.raises(BackupError):  # the program of our own writes no file
        back_up(open_store(with_password), tmp_path / "backup")
    (dumped,) = [line for line in calls.read_text().splitlines() if "--snapshot=" in line]
    command, _, environment = dumped.partition(" [")
    assert "cret" not in command
    assert environment == "s e'cret]"


@pytest.mark.parametrize(("schema", "rows"), [("0001", (2, 2)), ("0002", (3, 2))])
def test_an_earlier_store_is_carried_over_alike_on_either_engine(
    new_url: Callable[[], str], open_store: Open, tmp_path: Path, schema: str, rows: tuple[int, int]
) -> None:
    """The same rows as the earlier version left them, migrated here and in the embedded store: equal proofs."""
    embedded, store = open_store(f"sqlite:///{tmp_path / 'old.sqlite3'}"), open_store(new_url())
    with closing(sqlite3.connect(str(embedded.url.database))) as old:
        old.executescript((Path(__file__).parent / "stores" / f"{schema}.sql").read_text())
    migrate(store, to=schema)
    copy_rows(embedded, store)
    for one in (embedded, store):
        migrate(one)
    with embedded.read() as there, store.read() as here:
        found = prove(here)
        assert found == prove(there)
    assert (found.rows["jobs"], found.rows["revisions"]) == rows


def copy_rows(source: Database, target: Database) -> None:
    """Both hold the same tables."""
    with source.read() as there, target.write() as here:
        (from_tables := MetaData()).reflect(there)
        (to_tables := MetaData()).reflect(here)
        for table in to_tables.sorted_tables:
            rows = there.execute(select(from_tables.tables[table.name])).mappings().all()
            here.execute(table.delete())
            if rows:
                here.execute(table.insert(), [dict(row) for row in rows])


def test_the_commands_work_on_the_database_of_the_settings(
    tapcall: Callable[..., Any], store_url: str, new_url: Callable[[], str], tmp_path: Path
) -> None:
    """Backup and restore print the same proof; a server that is not there is one line and exit code 1."""
    taken = tapcall("backup", "monday", TAPCALL_DATABASE_URL=store_url)
    put_back = tapcall("restore", "monday", TAPCALL_DATABASE_URL=new_url())
    assert (taken.returncode, put_back.returncode) == (0, 0), taken.stderr + put_back.stderr
    assert taken.stdout.splitlines()[1] == put_back.stdout.splitlines()[1]
    nowhere = tapcall("backup", "tuesday", TAPCALL_DATABASE_URL="postgresql+psycopg://nobody@127.0.0.1:1/nothing")
    assert (nowhere.returncode, len(nowhere.stderr.splitlines())) == (1, 1)
    assert "does not answer" in nowhere.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["monday"]
