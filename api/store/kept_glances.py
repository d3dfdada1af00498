"""What was found in an embedded store, for as long as nobody has committed anything."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import Any, TypeVar

from sqlalchemy import Connection

T = TypeVar("T")

_MOST = 8_192
"""Then all are forgotten: a few megabytes of answers about jobs."""


class KeptGlances:
    """Of one connection, which must write nothing itself. Not for several threads at once.

    SQLite's data_version of a connection changes with every commit by any other, of whatever process
    (https://www.sqlite.org/pragma.html#pragma_data_version). It is asked before the store is, so what was found is
    never older than it says.
    """

    def __init__(self) -> None:
        self._version: int | None = None
        self._found: dict[Hashable, Any] = {}

    def get(self, connection: Connection, key: Hashable, find: Callable[[Connection], T]) -> T:
        raw: Any = connection.connection.dbapi_connection
        (version,) = raw.execute("PRAGMA data_version").fetchone()
        if version != self._version or len(self._found) >= _MOST:
            self._version = version
            self._found.clear()
        if key not in self._found:
            self._found[key] = find(connection)
        found: T = self._found[key]
        return found
