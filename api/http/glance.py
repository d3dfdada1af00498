"""A quick look into the store by a route that runs in the event loop."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import TypeVar

from sqlalchemy import Connection
from starlette.concurrency import run_in_threadpool

from api.store.database import Database

T = TypeVar("T")


async def glance(store: Database, find: Callable[[Connection], T], *, keep_as: Hashable) -> T:
    """What one statement finds, asked at once where the store answers at once, else in a thread.

    Going to a thread and back takes longer than all else that such a route does. keep_as: the key under which what was
    found is given again until anybody commits.
    """
    if store.answers_at_once:
        return store.glance(find, keep_as=keep_as)
    return await run_in_threadpool(store.glance, find)
