"""A backup is the store at one instant, and what is restored from it is that, row for row."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Connection, func, insert, inspect, select, text, update

from api.store.backup import back_up, restore
from api.store.backup_error import BackupError
from api.store.database import Database
from api.store.instants import now
from api.store.migrate import StoreTooNewError, migrate
from api.store.proof import prove
from api.store.tables import audit, cases, documents, job_events, jobs, revisions

Ask = Callable[..., str]
New = Callable[[], str]
Open = Callable[..., Database]

WRITERS = 3


def ids_of_jobs(store: Database) -> set[str]:
    with store.read() as connection:
        return set(connection.execute(select(jobs.c.id)).scalars())


def tables_of(store: Database) -> set[str]:
    with store.read() as connection:
        return set(inspect(connection).get_table_names())


def count(connection: Connection, table: Any) -> int:
    return int(connection.execute(select(func.count()).select_from(table)).scalar_one())


@contextmanager
def under_load(store: Database, ask: Ask) -> Iterator[list[str]]:
    """Writers that submit one layout after the other; gives the jobs that they were promised so far."""
    promised: list[str] = []
    enough = threading.Event()

    def write(first: int) -> None:
        number = first
        while not enough.is_set():
            promised.append(ask(store, number, source=b"x" * 5000))
            number += WRITERS

    writers = [threading.Thread(target=write, args=(first,)) for first in range(WRITERS)]
    for writer in writers:
        writer.start()
    try:
        yield promised
    finally:
        enough.set()
        for writer in writers:
            writer.join()


def wait_for_more(promised: list[str], wait_for: Callable[..., Any]) -> None:
    enough = len(promised) + 20
    wait_for(lambda: len(promised) >= enough or None, "the writers to go on")


def test_a_backup_taken_while_others_write_is_one_instant(
    store: Database, new_url: New, open_store: Open, ask: Ask, wait_for: Callable[..., Any], tmp_path: Path
) -> None:
    """Layout, revision, case, job and event of one submission are in it, or none; what was promised is."""
    with under_load(store, ask) as promised:
        for _ in range(2):
            wait_for_more(promised, wait_for)
            before = set(promised)
            proof = back_up(store, tmp_path / "backup")
        wait_for_more(promised, wait_for)
    copy = open_store(new_url())
    assert restore(copy, tmp_path / "backup") == proof
    assert before <= ids_of_jobs(copy) < ids_of_jobs(store)
    with copy.read() as connection:
        counts = {table.name: count(connection, table) for table in (documents, revisions, cases, jobs, job_events)}
        from_layout = cases.c.layout_id == revisions.c.document_id
        whole = select(func.count()).select_from(jobs.join(cases).join(revisions, from_layout).join(documents))
        assert set(counts.values()) == {connection.execute(whole).scalar_one()}


def test_a_restored_store_is_the_same_row_for_row_and_goes_on(
    store: Database, new_url: New, open_store: Open, ask: Ask, tmp_path: Path
) -> None:
    """Equal proofs of store and copy; the next row gets the next number, and the next job is taken in."""
    ask(store, 1, source=bytes(range(256)))
    with store.write() as connection:
        connection.execute(update(jobs).values(fraction=1 / 3, best_wet_out_s=None, phase="é\u2028…"))
        connection.execute(insert(audit), [{"at": now(), "action": "test", "subject": subject} for subject in "Bab_"])
    written = back_up(store, tmp_path / "backup")
    with store.read() as connection:
        assert prove(connection) == written
    copy = open_store(new_url())
    restore(copy, tmp_path / "backup")
    with copy.read() as connection:
        assert prove(connection) == written
    ask(copy, 2)
    with copy.write() as connection:
        connection.execute(insert(audit).values(at=now(), action="test", subject="next"))
        assert connection.execute(select(func.max(audit.c.id))).scalar_one() == 5
        assert connection.execute(select(jobs.c.fraction).order_by(jobs.c.created_at)).scalars().first() == 1 / 3


def test_a_proof_notices_every_change(store: Database, ask: Ask) -> None:
    """One value, one more row, one row less: another digest each time; the same rows again: the first one."""

    def digest() -> str:
        with store.read() as connection:
            return prove(connection).digest

    def change(statement: str) -> str:
        with store.write() as connection:
            connection.execute(text(statement))
        return digest()

    ask(store, 1)
    first = digest()
    seen = [
        change("UPDATE jobs SET fraction = 0.5"),
        change("UPDATE jobs SET fraction = 0.0, created_by = ''"),
        change("UPDATE jobs SET created_by = NULL, phase = 'waiting '"),
        change("UPDATE jobs SET phase = 'waiting'"),
        change("DELETE FROM job_events"),
    ]
    assert seen[3] == first
    assert len({first, *seen}) == 5


def test_a_store_that_is_there_is_never_restored_over(
    store: Database, new_url: New, open_store: Open, ask: Ask, tmp_path: Path
) -> None:
    """Not even one without rows; what it holds stays."""
    backup = tmp_path / "backup"
    back_up(store, backup)
    job_id = ask(store, 1)
    empty = open_store(new_url())
    migrate(empty)
    for standing in (store, empty):
        with pytest.raises(BackupError, match="restore into an empty"):
            restore(standing, backup)
    assert ids_of_jobs(store) == {job_id}
    assert ids_of_jobs(empty) == set()


def test_a_backup_that_fails_leaves_the_earlier_one(
    store: Database, ask: Ask, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, engine: str
) -> None:
    """The file is replaced once the copy is whole, and nothing half-written stays."""
    folder = tmp_path / "backups"
    folder.mkdir()
    back_up(store, folder / "backup")
    earlier = (folder / "backup").read_bytes()
    ask(store, 1)

    def broken(_connection: Connection) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(f"api.store.backup_{engine}.prove", broken)
        with pytest.raises(BackupError, match="No space left"):
            back_up(store, folder / "backup")
    assert [path.name for path in folder.iterdir()] == ["backup"]
    assert (folder / "backup").read_bytes() == earlier
    back_up(store, folder / "backup")
    assert (folder / "backup").read_bytes() != earlier
    assert (folder / "backup").stat().st_mode & 0o077 == 0  # whoever reads it has the secrets of webhooks


def test_a_damaged_backup_is_refused_and_leaves_nothing(
    store: Database, new_url: New, open_store: Open, ask: Ask, tmp_path: Path
) -> None:
    """Cut off anywhere: said plainly, and the place is as empty as before, so that the whole one still goes in."""
    ask(store, 1)
    whole = tmp_path / "backup"
    back_up(store, whole)
    damaged, source = tmp_path / "damaged", whole.read_bytes()
    copy = open_store(new_url())
    for share in (0.0, 0.02, 0.5, 0.98):
        damaged.write_bytes(source[: int(share * len(source))])
        with pytest.raises(BackupError):
            restore(copy, damaged)
    restore(copy, whole)
    assert len(ids_of_jobs(copy)) == 1


def test_a_backup_of_a_later_version_is_refused(
    store: Database, new_url: New, open_store: Open, tmp_path: Path
) -> None:
    """It says so; a store that this version cannot use is not put in place of none."""
    with store.write() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    back_up(store, tmp_path / "backup")
    with pytest.raises(StoreTooNewError, match="later version"):
        restore(open_store(new_url()), tmp_path / "backup")


def test_what_is_no_backup_of_ours_is_refused(new_url: New, open_store: Open, tmp_path: Path) -> None:
    """A text, a database of somebody else, a folder, nothing: each is said plainly."""
    (tmp_path / "text").write_text("not a backup")
    with sqlite3.connect(tmp_path / "other") as other:
        other.execute("CREATE TABLE t (a)")
    other.close()
    store = open_store(new_url())
    for name in ("text", "other", "nothing", "."):
        with pytest.raises(BackupError):
            restore(store, tmp_path / name)


# ---- the embedded store alone -------------------------------------------------------------------------------


def test_a_backup_makes_no_store_and_is_never_the_store_itself(sqlite_url: str, open_store: Open) -> None:
    """No store: no file appears. The store's own files: they stay what they are."""
    store = open_store(sqlite_url)
    path = Path(str(store.url.database))
    with pytest.raises(BackupError, match="no store yet"):
        back_up(open_store(f"sqlite:///{path.parent / 'other'}"), path.parent / "backup")
    assert not (path.parent / "other").exists()
    for ending in ("", "-wal", "-shm"):
        with pytest.raises(BackupError, match="belongs to the store"):
            back_up(store, Path(f"{path}{ending}"))
    assert "jobs" in tables_of(store)


def test_a_log_left_without_its_store_stops_a_restore(sqlite_url: str, open_store: Open, tmp_path: Path) -> None:
    """SQLite would play it into the restored file."""
    back_up(open_store(sqlite_url), tmp_path / "backup")
    Path(tmp_path / "new.sqlite3-wal").write_bytes(b"left")
    with pytest.raises(BackupError, match="sqlite3-wal is there already"):
        restore(open_store(f"sqlite:///{tmp_path / 'new.sqlite3'}"), tmp_path / "backup")


def test_a_backup_of_an_earlier_version_is_migrated(open_store: Open, tmp_path: Path) -> None:
    """The proof is of what was backed up; the tables are those of today."""
    with sqlite3.connect(tmp_path / "old.sqlite3") as old:
        old.executescript((Path(__file__).parent / "stores" / "0001.sql").read_text())
    old.close()
    written = back_up(open_store(f"sqlite:///{tmp_path / 'old.sqlite3'}"), tmp_path / "backup")
    copy = open_store(f"sqlite:///{tmp_path / 'deep' / 'new.sqlite3'}")
    assert restore(copy, tmp_path / "backup") == written
    assert "layouts" in written.rows
    assert "revisions" in tables_of(copy)
    assert len(ids_of_jobs(copy)) == written.rows["jobs"]


def test_the_commands_print_the_same_proof(
    tapcall: Callable[..., Any], sqlite_url: str, open_store: Open, ask: Ask, tmp_path: Path
) -> None:
    """Backup and restore by the command line; a second restore is refused in one line with exit code 1."""
    store = open_store(sqlite_url)
    ask(store, 1)
    (tmp_path / "shop").mkdir()
    back_up(store, tmp_path / "shop" / "tapcall.sqlite3")
    taken = tapcall("backup", "monday", "--data", "shop")
    put_back = tapcall("restore", "monday", "--data", "new")
    assert (taken.returncode, put_back.returncode) == (0, 0), taken.stderr + put_back.stderr
    assert taken.stdout.splitlines()[1] == put_back.stdout.splitlines()[1]
    assert "proof" in taken.stdout
    again = tapcall("restore", "monday", "--data", "new")
    assert (again.returncode, len(again.stderr.splitlines())) == (1, 1)
    assert "restore into an empty data folder" in again.stderr


def test_a_backup_with_another_proof_leaves_nothing_behind(
    store: Database, new_url: New, open_store: Open, ask: Ask, tmp_path: Path
) -> None:
    """Both digests are told, and the place is as empty as before: with the right proof it is filled."""
    ask(store, 1)
    proof, copy = back_up(store, tmp_path / "backup"), open_store(new_url())
    with pytest.raises(BackupError, match=f"{proof.digest}.*{'0' * 64}"):
        restore(copy, tmp_path / "backup", wanted="0" * 64)
    assert restore(copy, tmp_path / "backup", wanted=proof.digest) == proof
