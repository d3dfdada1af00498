"""The courier: takes deliveries as they fall due and posts them, to each webhook one at a time."""

from __future__ import annotations

import logging
import threading
import time

import anyio
import httpx
from anyio.abc import TaskGroup
from anyio.to_thread import run_sync
from sqlalchemy.exc import DBAPIError

from api.settings import Settings
from api.store.database import Database
from api.webhooks.due import Due, record, take
from api.webhooks.post import new_client, post

log = logging.getLogger(__name__)

_MOST_AT_ONCE = 32
"""Webhooks that are posted to at the same time."""
_MOST_READS_AND_WRITES = 4
"""Of the store at the same time, so that most of its connections stay free for others."""
_PAUSE_AFTER_ERROR_S = 2.0
_LAST_WAIT_S = 1.0
"""So long a stop waits for posts that are under way; what is cut off is sent again, with the same id."""


class Courier:
    """One thread with an event loop: a post can be ended at any moment, which a thread for each could not be."""

    def __init__(self, database: Database, settings: Settings) -> None:
        self._database, self._settings = database, settings
        self._busy: set[str] = set()
        self._freed = anyio.Event()
        self._few = anyio.CapacityLimiter(_MOST_READS_AND_WRITES)
        self._stopping = threading.Event()
        self._thread = threading.Thread(target=anyio.run, args=(self._run,), name="courier")

    def start(self) -> None:
        self._thread.start()

    def stop(self) -> None:
        """Begin no more posts, and wait until those under way have ended or been cut off."""
        self._stopping.set()
        self._thread.join()

    @property
    def is_alive(self) -> bool:
        return self._thread.is_alive()

    async def _run(self) -> None:
        async with new_client() as client, anyio.create_task_group() as posts:
            while not self._stopping.is_set():
                self._freed = anyio.Event()
                wait_s = await self._turn(client, posts)
                with anyio.move_on_after(wait_s):
                    await self._freed.wait()
            ends_s = time.monotonic() + _LAST_WAIT_S
            while self._busy and time.monotonic() < ends_s:
                await anyio.sleep(0.05)
            posts.cancel_scope.cancel()

    async def _turn(self, client: httpx.AsyncClient, posts: TaskGroup) -> float:
        """Begin what is due; returns how long to wait before the next look."""
        try:
            while len(self._busy) < _MOST_AT_ONCE:
                due = await run_sync(take, self._database, frozenset(self._busy), limiter=self._few)
                if due is None:
                    break
                self._busy.add(due.webhook_id)
                posts.start_soon(self._deliver, client, due)
        except DBAPIError as error:
            log.error("the store does not answer, trying again", extra={"cause": str(error.orig)})
            return _PAUSE_AFTER_ERROR_S
        except Exception:
            log.exception("a turn of the courier went wrong, trying again")
            return _PAUSE_AFTER_ERROR_S
        return self._settings.poll_s

    async def _deliver(self, client: httpx.AsyncClient, due: Due) -> None:
        """An error here costs this try only: once its lease has run out, the delivery is due again."""
        try:
            answer = await post(client, due, to_private=self._settings.webhooks_to_private)
            said = {"delivery": due.id, "webhook": due.webhook_id, "try": due.number, "answer": answer.text}
            log.log(logging.INFO if answer.is_accepted else logging.WARNING, "webhook tried", extra=said)
            await run_sync(record, self._database, due, answer, limiter=self._few)
        except Exception:
            log.exception("a delivery went wrong, it is tried again", extra={"delivery": due.id})
        finally:
            self._busy.discard(due.webhook_id)
            self._freed.set()
