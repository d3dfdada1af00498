"""What a power cut leaves of the embedded store, and what a full disk does to it.

A process that is stopped (SIGSTOP) and whose files are copied gives what a disk holds at that moment if nothing of what
was written is lost; a log that is cut, or of which sectors are missing, gives what it holds if the end was not synced.
"""

from __future__ import annotations

import json
import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

import pytest
from sqlalchemy import insert, select

import api
from api.store.database import Database
from api.store.instants import now
from api.store.tables import audit, documents, revisions

Open = Callable[..., Database]

EVERY_BYTE = "TAPCALL_TEST_EVERY_BYTE" in os.environ
"""Cut at every single byte: minutes instead of seconds."""
IMAGES = 40
FRAME_BYTES, LOG_HEAD_BYTES, PAGE_HEAD_BYTES = 4096 + 24, 32, 24
"""A log is a head and frames, a frame a head and a page: sqlite.org/fileformat2.html, section 4.1."""
SECTOR_BYTES = 512

_LAYOUTS = 25
_LOAD = """
import random, sys
from hashlib import sha256
from sqlalchemy import insert, update
from api.store.database import Database
from api.store.instants import now
from api.store.tables import documents, revisions

store, lots = Database(sys.argv[1], busy_timeout_s=10.0), random.Random(4)
at = now()
with store.write() as connection:
    for key in range(int(sys.argv[2])):
        connection.execute(insert(documents).values(
            id=str(key), kind="layout", name="", revision=0, digest="", created_at=at, updated_at=at))
        connection.execute(insert(revisions).values(
            document_id=str(key), revision=1, digest="", source=b"", created_at=at))
for number in range(1, 10**9):
    key, source = str(lots.randrange(int(sys.argv[2]))), lots.randbytes(lots.choice((100, 5_000, 60_000)))
    digest = sha256(source).hexdigest()
    with store.write() as connection:
        connection.execute(
            update(revisions).where(revisions.c.document_id == key).values(source=source, digest=digest))
        connection.execute(update(documents).where(documents.c.id == key).values(revision=number, digest=digest))
    print(key, number, flush=True)
"""


@pytest.fixture
def load(sqlite_url: str, tmp_path: Path) -> Iterator[subprocess.Popen[bytes]]:
    """A process that rewrites layouts and, after each commit, notes which one and the how-manieth commit."""
    with (tmp_path / "promised").open("w") as promised:
        process = subprocess.Popen(
            [sys.executable, "-c", _LOAD, sqlite_url, str(_LAYOUTS)],
            stdout=promised,
            env={**os.environ, "PYTHONPATH": str(Path(api.__file__).parents[1])},
        )
    yield process
    process.kill()
    process.wait()


def stop(process: subprocess.Popen[bytes]) -> None:
    process.send_signal(signal.SIGSTOP)
    os.waitpid(process.pid, os.WUNTRACED)


def lines_of(path: Path) -> list[str]:
    return path.read_text().rpartition("\n")[0].splitlines()


def test_an_image_at_any_moment_is_whole_and_holds_what_was_promised(
    load: subprocess.Popen[bytes], sqlite_url: str, tmp_path: Path, open_store: Open
) -> None:
    """Every commit acknowledged before the image is in it, none by halves, and the image takes new ones."""
    chance, store = random.Random(9), Path(sqlite_url.removeprefix("sqlite:///"))
    while not (tmp_path / "promised").read_text():
        time.sleep(0.01)
    for number in range(IMAGES):
        time.sleep(chance.uniform(0.0, 0.02))
        stop(load)
        promised = {key: int(commit) for key, commit in map(str.split, lines_of(tmp_path / "promised"))}
        image = tmp_path / f"image-{number}"
        for ending in ("", "-wal"):
            shutil.copy(f"{store}{ending}", f"{image}{ending}")
        load.send_signal(signal.SIGCONT)
        check_image(open_store(f"sqlite:///{image}"), promised)
        for ending in ("", "-wal", "-shm"):
            Path(f"{image}{ending}").unlink(missing_ok=True)
    assert len(lines_of(tmp_path / "promised")) > IMAGES


def check_image(store: Database, promised: dict[str, int]) -> None:
    with store.write() as connection:
        assert connection.exec_driver_sql("PRAGMA integrity_check").scalars().all() == ["ok"]
        pairs = connection.execute(
            select(documents, revisions.c.source, revisions.c.digest.label("of_revision")).join(revisions)
        ).all()
        connection.execute(insert(audit).values(at=now(), action="test", subject="goes on"))
    store.close()
    assert len(pairs) == _LAYOUTS
    for row in pairs:
        assert row.revision >= promised.get(row.id, 0)
        if row.revision:
            assert row.digest == row.of_revision == sha256(row.source).hexdigest()


# ---- a log whose end was not synced -------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class Left:
    """Files of a store in the middle of its work, and how long the log was after each commit."""

    file: bytes
    log: bytes
    ends: list[int]

    def commits_in(self, folder: Path, log: bytes) -> int:
        """How many commits a store opens with that finds this log; fails where anything is wrong with it."""
        path = folder / "cut"
        path.write_bytes(self.file)
        path.with_name("cut-wal").write_bytes(log)
        with closing(sqlite3.connect(path)) as opened:
            opened.execute("PRAGMA synchronous=OFF")  # what the check itself writes need not last
            assert opened.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
            rows = opened.execute("SELECT subject FROM audit ORDER BY id").fetchall()
            keys = opened.execute("SELECT id FROM documents ORDER BY id").fetchall()
        path.with_name("cut-shm").unlink(missing_ok=True)
        assert rows == keys == [(str(number),) for number in range(len(rows))]
        return len(rows)


@pytest.fixture
def left(sqlite_url: str, open_store: Open) -> Left:
    """Four commits, each of rows in two tables, in a log that no checkpoint has emptied."""
    store, path = open_store(sqlite_url), Path(sqlite_url.removeprefix("sqlite:///"))
    log, ends = Path(f"{path}-wal"), []
    for number in range(4):
        with store.write() as connection:
            at, key = now(), str(number)
            connection.execute(insert(audit).values(at=at, action="x" * 3_000, subject=key))
            row = {"id": key, "kind": "layout", "name": "x" * 3_000, "revision": 1, "digest": "d"}
            connection.execute(insert(documents).values(**row, created_at=at, updated_at=at))
        ends.append(log.stat().st_size)
    found = Left(file=path.read_bytes(), log=log.read_bytes(), ends=ends)
    assert all((end - LOG_HEAD_BYTES) % FRAME_BYTES == 0 for end in ends)
    assert ends[-1] == len(found.log)
    return found


def cuts(left: Left) -> list[int]:
    """Every byte of the last two commits; else each of those round the borders of frames, and a few between."""
    first, last = left.ends[-3], left.ends[-1]
    if EVERY_BYTE:
        return list(range(first, last + 1))
    frames = range(first, last + 1, FRAME_BYTES)
    heads = {frame + offset for frame in frames for offset in (-1, 0, 1, 4, 8, 16, 23, 24, 25)}
    return sorted(cut for cut in {*heads, *range(first, last, 211)} if first <= cut <= last)


def test_a_log_cut_anywhere_holds_every_commit_that_was_whole(left: Left, tmp_path: Path) -> None:
    """A commit counts from its last byte on, not one earlier, and the one cut through leaves no trace."""
    found = {cut: left.commits_in(tmp_path, left.log[:cut]) for cut in cuts(left)}
    assert found == {cut: sum(end <= cut for end in left.ends) for cut in found}
    assert set(found.values()) == {2, 3, 4}


def test_a_log_without_one_of_its_sectors_ends_before_that_commit(left: Left, tmp_path: Path) -> None:
    """Sectors of the last commit that never reached the disk: the commits before it stand."""
    for start in range(left.ends[-2], left.ends[-1], SECTOR_BYTES):
        end = min(start + SECTOR_BYTES, len(left.log))
        lost = left.log[:start] + bytes(end - start) + left.log[end:]
        assert left.commits_in(tmp_path, lost) == (4 if lost == left.log else 3)


def test_what_stands_behind_the_last_commit_is_not_taken_for_one(left: Left, tmp_path: Path) -> None:
    """Garbage, and frames of the log itself once more: neither has the checksum that follows."""
    for rubbish in (random.Random(1).randbytes(3 * FRAME_BYTES), left.log[left.ends[0] : left.ends[1]], b"\0" * 9000):
        assert left.commits_in(tmp_path, left.log + rubbish) == 4


# ---- a full disk --------------------------------------------------------------------------------------------

_FILL = """
import json, os, resource, sys
from sqlalchemy import func, insert, select
from sqlalchemy.exc import OperationalError
from api.store.database import Database
from api.store.instants import now
from api.store.tables import audit

url, cycles = sys.argv[1], int(sys.argv[2])
path, store = url.removeprefix("sqlite:///"), Database(url, busy_timeout_s=10.0)
kept, refusals, unlimited = [], [], (resource.RLIM_INFINITY, resource.RLIM_INFINITY)

def write(subject):
    with store.write() as connection:
        connection.execute(insert(audit).values(at=now(), action="x" * 30_000, subject=subject))
    kept.append(subject)

def stands():
    with store.read() as connection:
        return list(connection.execute(select(audit.c.subject).order_by(audit.c.id)).scalars())

for cycle in range(cycles):
    write(f"{cycle} before")
    most = max(os.path.getsize(path), os.path.getsize(path + "-wal")) + 10_000 + 1_777 * cycle
    resource.setrlimit(resource.RLIMIT_FSIZE, (most, resource.RLIM_INFINITY))
    for number in range(500):
        try:
            write(f"{cycle} {number}")
        except OperationalError as error:
            refusals.append(str(error.orig))
            break
    assert stands() == kept
    resource.setrlimit(resource.RLIMIT_FSIZE, unlimited)
    write(f"{cycle} after")
with store.read() as connection:
    sound = list(connection.exec_driver_sql("PRAGMA integrity_check").scalars())
print(json.dumps({"refusals": refusals, "sound": sound, "lost": len(set(kept) - set(stands()))}))
"""


def test_a_full_disk_is_an_error_and_no_more_than_that(sqlite_url: str) -> None:
    """Files may not grow (RLIMIT_FSIZE), at another size each time: nothing half kept, and it goes on with room."""
    cycles = 25
    ended = subprocess.run(
        [sys.executable, "-c", _FILL, sqlite_url, str(cycles)],
        env={**os.environ, "PYTHONPATH": str(Path(api.__file__).parents[1])},
        capture_output=True,
        text=True,
        check=False,
    )
    assert ended.returncode == 0, ended.stderr
    told = json.loads(ended.stdout)
    assert len(told["refusals"]) == cycles
    assert set(told["refusals"]) <= {"disk I/O error", "database or disk is full"}
    assert (told["sound"], told["lost"]) == (["ok"], 0)
