"""The server of a PostgreSQL store, and the programs that its backup needs."""

from __future__ import annotations

from sqlalchemy import Connection

from api.doctor.finding import Finding, ok, trouble, warning

_OLDEST_PROVEN = 15


def server_version(connection: Connection) -> Finding:
    what = "PostgreSQL"
    number = int(connection.exec_driver_sql("SHOW server_version_num").scalar_one())
    said = f"version {number // 10_000}.{number % 10_000}"
    if number // 10_000 < _OLDEST_PROVEN:
        return warning(what, f"{said}, never tried with this program", f"use version {_OLDEST_PROVEN} or later")
    return ok(what, said)


def durability(connection: Connection) -> Finding:
    """With either of these off, a power cut may take what was confirmed, or the whole store."""
    what = "PostgreSQL durability"
    if connection.exec_driver_sql("SELECT pg_is_in_recovery()").scalar_one():
        return trouble(
            what, "this server is a standby and takes no writes", "point TAPCALL_DATABASE_URL to the primary"
        )
    off = [
        name
        for name in ("fsync", "full_page_writes", "synchronous_commit")
        if connection.exec_driver_sql(f"SHOW {name}").scalar_one() == "off"
    ]
    if off:
        return trouble(what, f"{', '.join(off)} off: a power cut may lose what was confirmed", f"set {off[0]} = on")
    return ok(what, "writes are synced before they are confirmed")


def backup_programs(connection: Connection) -> Finding:
    what = "programs for the backup"
    from api.store.backup_error import BackupError
    from api.store.backup_postgresql import client_program

    try:
        found = [client_program(name, connection) for name in ("pg_dump", "pg_restore")]
    except BackupError as error:
        return warning(
            what, str(error), "install the PostgreSQL client of the server's version; no backup can be made without"
        )
    return ok(what, ", ".join(found))
