"""Is the file of the embedded store sound, and written as it should be?"""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Connection
from sqlalchemy.exc import DatabaseError

from api.doctor.amounts import size
from api.doctor.finding import Finding, ok, trouble, warning

_LARGE_LOG_BYTES = 64e6
_WRITE_VERSION, _WITH_LOG = 18, 2
"""Offset in the file, and what stands there with a write-ahead log: sqlite.org/fileformat2.html, 1.3.3."""


def soundness(connection: Connection) -> Finding:
    """PRAGMA quick_check reads the whole file."""
    what = "soundness of the store"
    try:
        found = list(connection.exec_driver_sql("PRAGMA quick_check(3)").scalars())
    except DatabaseError as error:
        found = [str(error.orig)]
    if found != ["ok"]:
        return trouble(
            what,
            f"damaged: {'; '.join(' '.join(each.split()) for each in found)}",
            "stop the service, keep a copy of the folder, and restore the last backup into a new one: tapcall restore",
        )
    return ok(what, "quick_check finds nothing wrong")


def journal(file: Path) -> Finding:
    what = "journal of the store"
    with file.open("rb") as opened:
        head = opened.read(_WRITE_VERSION + 1)
    if len(head) <= _WRITE_VERSION or head[_WRITE_VERSION] != _WITH_LOG:
        return warning(
            what,
            "the store is not written with a write-ahead log",
            "let nothing but tapcall open it; tapcall serve sets it right at its next start",
        )
    log = Path(f"{file}-wal")
    length = log.stat().st_size if log.exists() else 0
    if length > _LARGE_LOG_BYTES:
        return warning(
            what,
            f"write-ahead log of {size(length)}: somebody reads in one transaction for very long",
            "end whatever else has the store open; a restart of the service empties the log",
        )
    return ok(what, f"write-ahead log of {size(length)}" if length else "write-ahead log, empty")
