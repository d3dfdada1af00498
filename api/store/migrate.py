"""Bring the store's tables up to what this version of the program expects."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import inspect

from api.store.database import Database

NEWEST = "0004"
"""The last of the migrations in the folder beside this file."""


class StoreTooNewError(Exception):
    """The store was written by a later version of the program."""


def migrate(database: Database, *, to: str = "head") -> None:
    """Run the missing migrations in one transaction: a kill in the middle leaves the store as it was."""
    if to == "head" and _last_run(database) == NEWEST:
        return
    # Here and not above: it takes half a second, and nearly every start finds nothing to do.
    from alembic import command
    from alembic.config import Config
    from alembic.util import CommandError

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations"))
    with database.rebuild() as connection:
        config.attributes["connection"] = connection
        try:
            command.upgrade(config, to)
        except CommandError as error:
            raise StoreTooNewError(
                "the data folder was written by a later version of tapcall: use that one, or another folder"
            ) from error


def _last_run(database: Database) -> str | None:
    with database.read() as connection:
        if not inspect(connection).has_table("alembic_version"):
            return None
        found = connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar_one_or_none()
        return None if found is None else str(found)
