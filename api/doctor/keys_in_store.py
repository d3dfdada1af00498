"""Keys: is there one that opens anything, and which are about to end?"""

from __future__ import annotations

from datetime import timedelta

from sqlalchemy import Connection

from api.doctor.finding import Finding, ok, trouble, warning
from api.keys.keys import all_keys, ended
from api.settings import Settings
from api.store.instants import now

_SOON = timedelta(days=14)
_MOST_NAMED = 10


def good_keys(connection: Connection, settings: Settings) -> Finding:
    what, at = "keys", now()
    good = [key for key in all_keys(connection) if ended(key, at) is None]
    if not settings.keys:
        return ok(what, f"good: {len(good)}; none is asked for")
    if not good:
        return trouble(what, "not one is good: nobody can use the service", "tapcall keys add NAME --scope submit")
    return ok(what, f"good: {len(good)}")


def keys_that_end(connection: Connection) -> Finding:
    what, at = "keys that end", now()
    ending = [
        key
        for key in all_keys(connection)
        if ended(key, at) is None and key.expires_at is not None and key.expires_at < at + _SOON
    ]
    if not ending:
        return ok(what, f"none within {_SOON.days} days")
    first = sorted(ending, key=lambda key: (key.expires_at, key.id))
    said = [f"{key.id} ({key.name}) on {key.expires_at:%Y-%m-%d %H:%M} UTC" for key in first[:_MOST_NAMED]]
    more = f" and {len(first) - _MOST_NAMED} more" if len(first) > _MOST_NAMED else ""
    return warning(what, f"{', '.join(said)}{more}", "tapcall keys rotate ID, and give its holder the new one in time")
