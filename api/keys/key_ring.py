"""Who holds a key, asked at every request and therefore mostly answered from memory."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import or_, select, update

from api.keys.key_text import parse_key
from api.keys.scopes import Scope, scopes_from_text, with_lesser
from api.store.database import Database
from api.store.instants import now
from api.store.tables import api_keys

CACHE_S = 5.0
"""So long at most a key is still taken after another process has revoked it."""
_BETWEEN_WRITES = timedelta(minutes=1)
_MOST_REMEMBERED = 10_000
"""Ids that nobody has are remembered too; a flood of them must not fill the memory."""


@dataclass(frozen=True, kw_only=True)
class Holder:
    key_id: str
    name: str
    scopes: frozenset[Scope]
    """With those that they include."""


@dataclass(frozen=True, kw_only=True)
class _Found:
    holder: Holder | None
    """None: nobody has this id, or the key was revoked."""
    secret_sha256: str | None
    expires_at: datetime | None
    until_s: float
    """On the ring's clock; from then on the store is asked again."""


class KeyRing:
    """Safe to share between threads."""

    def __init__(
        self, database: Database, *, cache_s: float = CACHE_S, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._database, self._cache_s, self._clock = database, cache_s, clock
        self._found: dict[str, _Found] = {}
        self._used: dict[str, datetime] = {}
        self._written: dict[str, datetime] = {}

    def holder(self, text: str) -> Holder | None:
        """None for whatever is not the text of a key that is good now. Asks the store unless `answers_from_memory`."""
        key = parse_key(text)
        if key is None:
            return None
        found = self._remembered(key.id) or self._look_up(key.id)
        at = now()
        fits = key.fits(found.secret_sha256)
        if not fits or found.holder is None or (found.expires_at is not None and found.expires_at <= at):
            return None
        self._used[key.id] = at
        return found.holder

    def answers_from_memory(self, text: str) -> bool:
        """Whether `holder` of this text would not have to wait for the store."""
        key = parse_key(text)
        return key is None or self._remembered(key.id) is not None

    def is_good(self, key_id: str) -> bool:
        """Whether a key that has shown its secret before is good still. May ask the store."""
        found = self._remembered(key_id) or self._look_up(key_id)
        return found.holder is not None and (found.expires_at is None or found.expires_at > now())

    def forget(self, key_id: str) -> None:
        """This process has changed the key; what is remembered of it holds no longer."""
        self._found.pop(key_id, None)

    def flush(self) -> None:
        """Write when keys were last used, right to a minute. To be called now and then, never by a request."""
        due = {
            key_id: at
            for key_id, at in self._used.copy().items()
            if key_id not in self._written or at - self._written[key_id] >= _BETWEEN_WRITES
        }
        if not due:
            return
        with self._database.write() as connection:
            for key_id, at in due.items():
                earlier = or_(api_keys.c.last_used_at.is_(None), api_keys.c.last_used_at < at)
                connection.execute(update(api_keys).where(api_keys.c.id == key_id, earlier).values(last_used_at=at))
        self._written |= due

    def _remembered(self, key_id: str) -> _Found | None:
        found = self._found.get(key_id)
        return found if found is not None and self._clock() < found.until_s else None

    def _look_up(self, key_id: str) -> _Found:
        until_s = self._clock() + self._cache_s
        with self._database.read() as connection:
            row = connection.execute(select(api_keys).where(api_keys.c.id == key_id)).one_or_none()
        if row is None or row.revoked_at is not None:
            found = _Found(holder=None, secret_sha256=None, expires_at=None, until_s=until_s)
        else:
            holder = Holder(key_id=row.id, name=row.name, scopes=with_lesser(scopes_from_text(row.scopes)))
            found = _Found(holder=holder, secret_sha256=row.secret_sha256, expires_at=row.expires_at, until_s=until_s)
        if len(self._found) >= _MOST_REMEMBERED:
            self._found.clear()
        self._found[key_id] = found
        return found
