"""Keys in the store: made, listed, rotated, revoked. Rows are kept for good, so that the audit can be read."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import Connection, Row, insert, select, update

from api.keys.key_text import KeyText, new_key_text
from api.keys.scopes import Scope, scopes_from_text, scopes_to_text
from api.store.instants import now
from api.store.pages import Page, read_page
from api.store.tables import api_keys
from optimiser.errors import Fault, InputError

_LONGEST_NAME = 100
_SHOWN = [column for column in api_keys.c if column.name != "secret_sha256"]


class KeyEndedError(Exception):
    """The key was revoked, or its time is over: what ended stays ended."""


def make(
    connection: Connection, *, name: str, scopes: Collection[Scope], expires_at: datetime | None = None
) -> KeyText:
    """A new key. Its text is not kept: this is the only time that it is known. InputError for an odd name."""
    _check_name(name)
    key = new_key_text()
    connection.execute(
        insert(api_keys).values(
            id=key.id,
            name=name,
            scopes=scopes_to_text(scopes),
            secret_sha256=key.secret_sha256,
            created_at=now(),
            expires_at=expires_at,
        )
    )
    return key


def rotate(connection: Connection, key_id: str, *, overlap_s: float) -> KeyText | None:
    """A new key of the same name, scopes and length of life; the old one goes on for the overlap at most.

    None where there is no such key; KeyEndedError where it is not good any more.
    """
    old = find_key(connection, key_id)
    if old is None:
        return None
    at = now()
    if (ending := ended(old, at)) is not None:
        raise KeyEndedError(f"This key {ending}. Make a new one.")
    life = None if old.expires_at is None else old.expires_at - old.created_at
    new = make(
        connection,
        name=old.name,
        scopes=scopes_from_text(old.scopes),
        expires_at=None if life is None else at + life,
    )
    runs_out = at + timedelta(seconds=overlap_s)
    if old.expires_at is None or old.expires_at > runs_out:
        connection.execute(update(api_keys).where(api_keys.c.id == key_id).values(expires_at=runs_out))
    return new


def revoke(connection: Connection, key_id: str) -> bool:
    """End a key at once. False where there is no such key; revoked again, it stays as it is."""
    this = api_keys.c.id == key_id
    connection.execute(update(api_keys).where(this, api_keys.c.revoked_at.is_(None)).values(revoked_at=now()))
    return connection.execute(select(api_keys.c.id).where(this)).one_or_none() is not None


def find_key(connection: Connection, key_id: str) -> Row[Any] | None:
    """All about a key but the hash of its secret."""
    return connection.execute(select(*_SHOWN).where(api_keys.c.id == key_id)).one_or_none()


def list_keys(connection: Connection, *, limit: int, cursor: str | None) -> Page:
    return read_page(connection, select(*_SHOWN), of="", limit=limit, cursor=cursor)


def all_keys(connection: Connection) -> list[Row[Any]]:
    """Newest first."""
    newest_first = api_keys.c.created_at.desc(), api_keys.c.id.desc()
    return list(connection.execute(select(*_SHOWN).order_by(*newest_first)))


def ended(key: Row[Any], at: datetime) -> str | None:
    """Why the key is not good at this time; None while it is."""
    if key.revoked_at is not None:
        return f"was revoked at {key.revoked_at:%Y-%m-%d %H:%M} UTC"
    if key.expires_at is not None and key.expires_at <= at:
        return f"ended at {key.expires_at:%Y-%m-%d %H:%M} UTC"
    return None


def _check_name(name: str) -> None:
    if not name.strip() or len(name) > _LONGEST_NAME or not name.isprintable():
        found = f"a name of {len(name)} characters" if len(name) > _LONGEST_NAME else repr(name)
        raise InputError([Fault(path="/name", found=found, expected=f"1 to {_LONGEST_NAME} printable characters")])
