"""A PostgreSQL store as one file, by the programs that come with the server's client."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from pathlib import Path

from psycopg.conninfo import make_conninfo
from sqlalchemy import Connection, Engine, MetaData, inspect

from api.store.backup_error import BackupError
from api.store.database import Database
from api.store.migrate import migrate
from api.store.proof import Proof, check_proof, prove


def take(snapshot: Connection, part: Path) -> Proof:
    """Dump what the transaction sees, and read the dump once from end to end."""
    dump, read = client_program("pg_dump", snapshot), client_program("pg_restore", snapshot)
    snapshot.exec_driver_sql("SET LOCAL idle_in_transaction_session_timeout = 0")
    seen = snapshot.exec_driver_sql("SELECT pg_export_snapshot()").scalar_one()
    wanted = ("--format=custom", "--no-owner", "--no-privileges", f"--snapshot={seen}", f"--file={part}")
    _run([dump, *wanted], snapshot.engine)
    _run([read, f"--file={os.devnull}", str(part)])
    return prove(snapshot)


def put_back(store: Database, source: Path, wanted: str | None) -> Proof:
    """Fill the empty database from the backup, all of it or nothing, then migrate."""
    with store.read() as connection:
        if tables := inspect(connection).get_table_names():
            raise BackupError(f"the database has {len(tables)} tables already: restore into an empty one")
        program, engine = client_program("pg_restore", connection), connection.engine
    _run([program, "--single-transaction", "--exit-on-error", "--no-owner", "--no-privileges", str(source)], engine)
    with store.read() as connection:
        proof = prove(connection)
    try:
        check_proof(proof, wanted)
    except BackupError:
        _empty(store)
        raise
    migrate(store)
    return proof


def _empty(store: Database) -> None:
    """It was empty before, so nothing but what was just put there goes."""
    with store.write() as connection:
        restored = MetaData()
        restored.reflect(connection)
        restored.drop_all(connection)


def client_program(name: str, connection: Connection) -> str:
    """Where the program is; it must be of the server's version or later."""
    path = shutil.which(name)
    if path is None:
        raise BackupError(f"{name} is not installed: it comes with the PostgreSQL client of your system")
    said = subprocess.run([path, "--version"], capture_output=True, text=True, check=True).stdout
    found = re.search(r"(\d+)[.\d]*", said)
    server = int(connection.exec_driver_sql("SHOW server_version_num").scalar_one()) // 10_000
    if found is None or int(found[1]) < server:
        raise BackupError(f"{name} is too old: the server is version {server}, and it says {said.strip()!r}")
    return path


def _run(command: list[str], engine: Engine | None = None) -> None:
    """The password goes by the environment: what stands on a command line is read by everybody on the machine."""
    environment = {**os.environ, "LC_ALL": "C"}
    if engine is not None:
        _, parts = engine.dialect.create_connect_args(engine.url)
        address = {name: part for name, part in parts.items() if isinstance(part, str | int)}
        if password := address.pop("password", None):
            environment["PGPASSWORD"] = str(password)
        command = [*command, f"--dbname={make_conninfo('', **address)}"]
    ended = subprocess.run(command, env=environment, capture_output=True, text=True, check=False)
    if ended.returncode:
        raise BackupError((ended.stderr.strip().splitlines() or [f"exit code {ended.returncode}"])[0])
