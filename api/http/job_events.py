"""What becomes of jobs, as server-sent events (WHATWG HTML, 9.2, from memory).

All streams together cause one short read of the store per half second: whichever stream finds the news too old reads
for every job that is followed.
"""

from __future__ import annotations

import logging
import time
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import anyio
from anyio.to_thread import run_sync
from sqlalchemy import Row, select
from sqlalchemy.exc import DBAPIError
from sse_starlette import EventSourceResponse, JSONServerSentEvent, ServerSentEvent
from sse_starlette.sse import SendTimeoutError
from starlette.responses import Response
from starlette.types import Receive, Scope, Send

from api.http.problem import unavailable
from api.jobs.read_jobs import events_of_job
from api.jobs.states import DONE
from api.store.database import Database
from api.store.tables import jobs

log = logging.getLogger(__name__)

MOST_STREAMS = 200
_POLL_S = 0.5
_HEARTBEAT_S = 15
_LONGEST_SEND_S = 30.0
"""A client that takes nothing for so long is let go."""
_GRACE_S = 2.0
"""At a stop, so long the streams have to end in good order."""


@dataclass(frozen=True, kw_only=True)
class _News:
    """A job as it was last read."""

    row: Row[Any]
    changes: tuple[Row[Any], ...]
    """All its changes of state, in order."""

    @property
    def is_done(self) -> bool:
        return self.row.state in DONE

    @property
    def progress(self) -> dict[str, Any]:
        return {"phase": self.row.phase, "fraction": self.row.fraction, "best_wet_out_s": self.row.best_wet_out_s}


class _Stream(EventSourceResponse):
    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        try:
            await super().__call__(scope, receive, send)
        except SendTimeoutError:
            log.info("a stream was ended: its client takes nothing")


class JobStreams:
    """One for each application; lives in its event loop."""

    def __init__(self, store: Database, *, most: int = MOST_STREAMS) -> None:
        self._store, self._most = store, most
        self._followers: dict[str, int] = {}
        self._news: dict[str, _News] = {}
        self._read_at_s = -_POLL_S
        self._one_reader = anyio.Lock()

    @property
    def open(self) -> int:
        return sum(self._followers.values())

    @contextmanager
    def follow(self, job_id: str) -> Iterator[None]:
        """Take one of the places; Problem where none is free."""
        if self.open >= self._most:
            raise unavailable(f"{self._most} streams of events are open already.")
        self._followers[job_id] = self._followers.get(job_id, 0) + 1
        try:
            yield
        finally:
            self._followers[job_id] -= 1
            if not self._followers[job_id]:
                del self._followers[job_id]
                self._news.pop(job_id, None)

    async def respond(self, job_id: str, *, after: int, goes_on: Callable[[], bool] | None) -> Response | None:
        """The stream of a job that is followed, from the change of state after event `after`; None: no such job.

        It ends soon after `goes_on` says no, as when the key of its client was revoked.

        Where nothing more will come the answer is 204, which tells a client not to connect again.
        """
        news = await self._first(job_id)
        if news is None:
            return None
        if news.is_done and all(change.id <= after for change in news.changes):
            return Response(status_code=204)
        stopping = anyio.Event()
        return _Stream(
            self._events(job_id, news, after, stopping, goes_on),
            ping=_HEARTBEAT_S,
            send_timeout=_LONGEST_SEND_S,
            shutdown_event=stopping,
            shutdown_grace_period=_GRACE_S,
        )

    async def _events(
        self, job_id: str, news: _News, after: int, stopping: anyio.Event, goes_on: Callable[[], bool] | None
    ) -> AsyncIterator[ServerSentEvent]:
        told: dict[str, Any] | None = None
        while not stopping.is_set():
            for change in news.changes:
                if change.id > after:
                    after = change.id
                    yield _state_event(change)
            if news.is_done:
                return
            if news.progress != told:
                told = news.progress
                yield JSONServerSentEvent(told, event="progress")
            with anyio.move_on_after(_POLL_S):
                await stopping.wait()
            if not await self._goes_on(goes_on):
                return
            news = await self._later(job_id)

    async def _goes_on(self, goes_on: Callable[[], bool] | None) -> bool:
        if goes_on is None:
            return True
        async with self._one_reader:
            try:
                return await run_sync(goes_on)
            except DBAPIError:
                return True  # a store that is away is told of elsewhere

    async def _first(self, job_id: str) -> _News | None:
        if job_id not in self._news:
            async with self._one_reader:
                await self._read([job_id])
        return self._news.get(job_id)

    async def _later(self, job_id: str) -> _News:
        """The newest there is, half a second old at most while the store answers."""
        async with self._one_reader:
            if time.monotonic() - self._read_at_s >= _POLL_S:
                self._read_at_s = time.monotonic()
                try:
                    await self._read(list(self._news))
                except DBAPIError as error:
                    log.error("the store does not answer, trying again", extra={"cause": str(error.orig)})
        return self._news[job_id]

    async def _read(self, job_ids: list[str]) -> None:
        known = {job_id: news for job_id, news in self._news.items() if job_id in job_ids}
        for job_id, news in (await run_sync(_read_news, self._store, job_ids, known)).items():
            if job_id in self._followers:
                self._news[job_id] = news


def _read_news(store: Database, job_ids: list[str], known: dict[str, _News]) -> dict[str, _News]:
    """Those of the jobs that have changed. Rows are read before the changes, so that no end is told too early."""
    query = select(jobs.c.id, jobs.c.state, jobs.c.phase, jobs.c.fraction, jobs.c.best_wet_out_s, jobs.c.updated_at)
    found: dict[str, _News] = {}
    with store.read() as connection:
        rows: list[Any] = list(connection.execute(query.where(jobs.c.id.in_(job_ids))))
        for row in rows:
            before = known.get(row.id)
            if before is None:
                found[row.id] = _News(row=row, changes=tuple(events_of_job(connection, row.id)))
            elif before.row != row:
                later = events_of_job(connection, row.id, after=before.changes[-1].id)
                found[row.id] = _News(row=row, changes=(*before.changes, *later))
    return found


def _state_event(change: Row[Any]) -> ServerSentEvent:
    said = {
        "state": change.to_state,
        "from": change.from_state,
        "at": change.at.isoformat().replace("+00:00", "Z"),
        "reason": change.reason,
        "done": change.to_state in DONE,
    }
    return JSONServerSentEvent(said, event="state", id=str(change.id))
