"""`tapcall keys`: on the store itself, so that the first key can be made. The key alone goes to stdout."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Annotated

import typer

from api.cli.exits import CannotGoOnError, Debug, ending_well, say
from api.cli.service_settings import DataFolder, plain_store_errors, settings_with
from api.keys.key_text import without_secrets
from api.keys.scopes import Scope
from optimiser.errors import Fault, InputError

if TYPE_CHECKING:
    from api.store.database import Database

keys = typer.Typer(help="Make, list, rotate and revoke the keys of the service.", no_args_is_help=True)

KeyId = Annotated[str, typer.Argument(metavar="ID", help="As tapcall keys list shows it.")]


@keys.command()
def add(
    name: Annotated[str, typer.Argument(metavar="NAME", help="Whoever will hold it.")],
    scope: Annotated[Scope, typer.Option(help="submit includes read, operate includes both.")] = Scope.READ,
    days: Annotated[
        int | None, typer.Option(min=1, max=3650, help="How long it is good. Until it is revoked unless set.")
    ] = None,
    data: DataFolder = None,
    debug: Debug = False,
) -> None:
    """Make a key and print it, this once.

    Example: tapcall keys add "nightly planning" --scope submit
    """
    with ending_well(debug=debug), _store(data, may_begin=True) as store:
        from datetime import timedelta

        from api.audit import note
        from api.keys.keys import make
        from api.store.instants import now

        expires_at = None if days is None else now() + timedelta(days=days)
        with store.write() as connection:
            key = make(connection, name=name, scopes=[scope], expires_at=expires_at)
            note(connection, key_id=None, action="key.add (command line)", subject=key.id)
        say(f"Key {key.id} for {name}, scope {scope}. It is shown this once:")
        print(key.text, flush=True)


@keys.command("list")
def list_all(data: DataFolder = None, debug: Debug = False) -> None:
    """List all keys, newest first: id, name, scopes, whether it is good, when it was last used.

    Example: tapcall keys list
    """
    with ending_well(debug=debug), _store(data) as store:
        from api.keys.keys import all_keys, ended
        from api.store.instants import now

        with store.read() as connection:
            rows = all_keys(connection)
        for row in rows:
            until = "until it is revoked" if row.expires_at is None else f"until {row.expires_at:%Y-%m-%d %H:%M} UTC"
            state = ended(row, now()) or f"good {until}"
            used = "never used" if row.last_used_at is None else f"last used {row.last_used_at:%Y-%m-%d %H:%M} UTC"
            print(row.id, row.name, row.scopes, state, used, sep="\t", flush=True)


@keys.command()
def rotate(
    key_id: KeyId,
    overlap_hours: Annotated[
        float, typer.Option(min=0, max=720, help="So long the old key is still good, for its holder to change over.")
    ] = 24.0,
    data: DataFolder = None,
    debug: Debug = False,
) -> None:
    """Make a key in place of another, and print it, this once.

    Example: tapcall keys rotate 0123456789abcdef --overlap-hours 2
    """
    with ending_well(debug=debug), _store(data) as store:
        from api.audit import note
        from api.keys.keys import KeyEndedError
        from api.keys.keys import rotate as rotated

        with store.write() as connection:
            try:
                key = rotated(connection, key_id, overlap_s=overlap_hours * 3600)
            except KeyEndedError as error:
                raise CannotGoOnError(str(error)) from error
            if key is None:
                raise _no_such(key_id)
            note(connection, key_id=None, action="key.rotate (command line)", subject=key_id)
            note(connection, key_id=None, action="key.add (command line)", subject=key.id)
        say(f"Key {key.id} in place of {key_id}, which is good for {overlap_hours:g} h more at most. Shown this once:")
        print(key.text, flush=True)


@keys.command()
def revoke(key_id: KeyId, data: DataFolder = None, debug: Debug = False) -> None:
    """End a key for good. A running service refuses it after 5 s at the latest.

    Example: tapcall keys revoke 0123456789abcdef
    """
    with ending_well(debug=debug), _store(data) as store:
        from api.audit import note
        from api.keys.keys import revoke as revoked

        with store.write() as connection:
            if not revoked(connection, key_id):
                raise _no_such(key_id)
            note(connection, key_id=None, action="key.revoke (command line)", subject=key_id)
        say(f"Key {key_id} is revoked.")


@contextmanager
def _store(data: DataFolder, *, may_begin: bool = False) -> Iterator[Database]:
    """may_begin: a new store where there is none, and it is told; else a folder mistyped would be an empty one."""
    from api.store.folder import has_store
    from api.store.open import ready_store

    settings = settings_with(data=data)
    begins = settings.database_url is None and not has_store(settings.data)
    with plain_store_errors(), ready_store(settings, may_begin=may_begin) as store:
        if begins:
            say(f"Begun a new store in {settings.data.absolute()}")
        yield store


def _no_such(key_id: str) -> InputError:
    found = without_secrets(key_id) or "nothing"
    return InputError([Fault(path="ID", found=found, expected="the id of a key", remedy="tapcall keys list")])
