"""The data folder: made when missing, and held by one service at a time."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path


class FolderError(Exception):
    """The data folder cannot be used; the message says what to do."""


@contextmanager
def held(folder: Path) -> Iterator[None]:
    """Hold the folder until the block ends or the process dies.

    The lock is SQLite's own, on a file beside the store, so it works wherever the store does and no dead
    process can keep it.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        connection = sqlite3.connect(
            folder / "serve.lock", timeout=0, isolation_level=None, check_same_thread=False
        )
    except (OSError, sqlite3.OperationalError) as error:
        raise FolderError(f"the data folder {folder} cannot be written: {error}") from error
    with closing(connection):
        try:
            connection.execute("BEGIN EXCLUSIVE")
        except sqlite3.OperationalError as error:
            if "locked" in str(error):
                raise FolderError(f"another tapcall serve is using the data folder {folder}") from error
            raise FolderError(f"the data folder {folder} cannot be written: {error}") from error
        yield
