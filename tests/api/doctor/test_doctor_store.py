"""The store itself: damaged, older, newer, without its log; on either engine."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from typing import Any

import pytest
from pydantic import SecretStr
from sqlalchemy import text, update

from api.doctor.examine import examine
from api.doctor.finding import Finding, State
from api.settings import Settings
from api.store.database import Database
from api.store.tables import api_keys

OK, WARNING, TROUBLE = State.OK, State.WARNING, State.TROUBLE


def told(data: Path, **settings: Any) -> dict[str, Finding]:
    return {finding.what: finding for finding in examine(Settings(data=data, port=0, **settings))}


def test_a_damaged_store_is_trouble_and_the_last_backup_is_pointed_to(data: Path) -> None:
    """Pages in the middle overwritten, as a failing disk does: PRAGMA quick_check is the judge."""
    file = data / "tapcall.sqlite3"
    page_bytes = 4096
    with file.open("r+b") as opened:
        opened.seek(2 * page_bytes)
        opened.write(b"\xa5" * (file.stat().st_size - 3 * page_bytes))
    findings = told(data)
    assert findings["soundness of the store"].state is TROUBLE
    assert "tapcall restore" in findings["soundness of the store"].do


def test_a_file_that_is_no_store_is_trouble(data: Path) -> None:
    """Noise in its place: nothing is said to answer."""
    (data / "tapcall.sqlite3").write_bytes(b"\xa5" * 40_000)
    findings = told(data)
    assert findings["store"].state is TROUBLE
    assert "tapcall restore" in findings["store"].do


def test_a_store_without_a_write_ahead_log_and_one_with_a_huge_one_are_told(
    data: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Both are changed from outside: by another program, or by a reader that never ends."""
    monkeypatch.setattr("api.doctor.sqlite_store._LARGE_LOG_BYTES", 1000)
    store = Database(f"sqlite:///{data / 'tapcall.sqlite3'}", busy_timeout_s=1.0)
    with store.write() as connection:
        connection.execute(update(api_keys).values(name="held"))
    assert told(data)["journal of the store"].state is WARNING
    store.close()
    assert told(data)["journal of the store"].state is OK
    plain = sqlite3.connect(data / "tapcall.sqlite3")
    plain.execute("PRAGMA journal_mode=DELETE")
    plain.close()
    assert told(data)["journal of the store"].state is WARNING


def test_an_older_store_is_a_warning_and_a_newer_one_is_trouble(data: Path) -> None:
    """Neither is looked into any further, and neither is changed."""
    store = Database(f"sqlite:///{data / 'tapcall.sqlite3'}", busy_timeout_s=1.0)
    with store.write() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    assert told(data)["tables of the store"].state is TROUBLE
    store.close()
    (data / "tapcall.sqlite3").unlink()
    old = sqlite3.connect(data / "tapcall.sqlite3")
    old.executescript((Path(__file__).parents[1] / "stores" / "0001.sql").read_text())
    old.close()
    findings = told(data)
    assert findings["tables of the store"].state is WARNING
    assert "tapcall backup" in findings["tables of the store"].do
    assert "keys" not in findings


def test_the_same_is_looked_at_on_either_engine(store: Database, store_url: str) -> None:
    """A store at a URL; the server of these tests may run without fsync, and is told about then."""
    settings = Settings(database_url=SecretStr(store_url), port=0)
    findings = {finding.what: finding for finding in examine(settings)}
    assert findings["tables of the store"].state is OK
    assert findings["keys"].state is TROUBLE
    if store.url.get_backend_name() == "postgresql":
        assert findings["PostgreSQL"].state is OK
        assert findings["clock of the PostgreSQL server"].state is OK
        assert findings["programs for the backup"].state is OK
        with store.read() as connection:
            is_synced = connection.exec_driver_sql("SHOW fsync").scalar_one() == "on"
        assert (findings["PostgreSQL durability"].state is OK) == is_synced
    else:
        assert findings["soundness of the store"].state is OK
