"""A data folder as a service leaves it, and ports that are taken or free."""

from __future__ import annotations

import shutil
import socket
from collections.abc import Iterator
from pathlib import Path

import pytest

from api.keys.keys import make as make_key
from api.keys.scopes import Scope
from api.store.database import Database


@pytest.fixture
def data(migrated_file: Path, tmp_path: Path) -> Path:
    """A data folder as a service that was stopped leaves it, with one key."""
    made = tmp_path / "data"
    made.mkdir()
    store = Database(f"sqlite:///{shutil.copy(migrated_file, made / 'tapcall.sqlite3')}", busy_timeout_s=10.0)
    with store.write() as connection:
        make_key(connection, name="tests", scopes=[Scope.READ])
    store.close()
    return made


@pytest.fixture
def listener() -> Iterator[socket.socket]:
    """Something that takes connections and never says a word."""
    with socket.create_server(("127.0.0.1", 0)) as listening:
        yield listening


@pytest.fixture
def closed_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as listening:
        return int(listening.getsockname()[1])
