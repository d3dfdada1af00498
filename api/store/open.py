"""The store of the settings, made ready: its folder, its tables."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from sqlalchemy.exc import DBAPIError

from api.store.database import Database
from api.store.folder import find_store, ready_folder
from api.store.migrate import migrate

if TYPE_CHECKING:
    from api.settings import Settings


class StoreUnreachableError(Exception):
    """No store answers where the settings point; the message says so without its password."""


@contextmanager
def ready_store(settings: Settings, *, may_begin: bool = True) -> Iterator[Database]:
    """Raises FolderError, StoreUnreachableError or StoreTooNewError where there is nothing to work on.

    may_begin: make an embedded store where there is none; else a name mistyped would lead to an empty one.
    """
    if settings.database_url is None:
        if not may_begin:
            find_store(settings.data)
        ready_folder(settings.data)
    store = settings.open_store()
    try:
        try:
            migrate(store)
        except DBAPIError as error:
            raise StoreUnreachableError(f"the store does not answer: {str(error.orig).splitlines()[0]}") from error
        yield store
    finally:
        store.close()
