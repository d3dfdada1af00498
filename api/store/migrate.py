"""Bring the store's tables up to what this version of the program expects."""

from __future__ import annotations

from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.util import CommandError

from api.store.database import Database


class StoreTooNewError(Exception):
    """The store was written by a later version of the program."""


def migrate(database: Database, *, to: str = "head") -> None:
    """Run the missing migrations in one transaction: a kill in the middle leaves the store as it was."""
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
