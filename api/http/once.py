"""Writes that a client may safely send again: the header Idempotency-Key.

The reply is kept in the transaction of the write itself, so a service that dies between commit and reply gives the
same reply when it is asked again (draft-ietf-httpapi-idempotency-key-header-07, from memory).
"""

from __future__ import annotations

import json
from collections.abc import AsyncIterator, Callable, Mapping
from dataclasses import dataclass, field
from datetime import timedelta
from hashlib import sha256
from typing import Annotated

from fastapi import Depends, Header, Request
from pydantic import BaseModel
from sqlalchemy import Connection, delete, select
from starlette.concurrency import run_in_threadpool
from starlette.responses import Response

from api.audit import note
from api.http.caller import Caller, Submits
from api.http.problem import Problem, ProblemError, unavailable
from api.http.problem_kinds import KEY_REUSED, SHOWN_ONCE, UNUSABLE
from api.http.state import Store, Writers
from api.logs import request_id
from api.store.database import Database
from api.store.insert_once import insert_once
from api.store.instants import now
from api.store.tables import idempotent_replies

KEPT_FOR = timedelta(days=2)
_SECRET = "secret-of"


@dataclass(frozen=True, kw_only=True)
class Reply:
    """The answer to a write."""

    status: int
    document: BaseModel | None
    subject: str
    """Id of what was written, for the audit."""
    has_secret: bool = False
    """The document is shown once and never kept: a request sent again is then refused rather than answered."""
    headers: Mapping[str, str] = field(default_factory=dict)


class RepeatedError(Exception):
    """The request was answered before; carries that answer."""

    def __init__(self, response: Response) -> None:
        super().__init__("answered before")
        self.response = response


class Once:
    """Performs one write, its audit and its kept reply together."""

    def __init__(self, store: Database, caller: Caller, scope: str | None, fingerprint: str) -> None:
        self.by = caller.key_id
        self._store, self._scope, self._fingerprint = store, scope, fingerprint

    def __call__(self, action: str, write: Callable[[Connection], Reply]) -> Response:
        return self._store.write_together(lambda connection: self._perform(connection, action, write))

    def _perform(self, connection: Connection, action: str, write: Callable[[Connection], Reply]) -> Response:
        if (kept := self._kept(connection)) is not None:
            return kept
        reply = write(connection)
        note(connection, key_id=self.by, action=action, subject=reply.subject, request_id=request_id.get())
        body = "" if reply.document is None else reply.document.model_dump_json(exclude_none=True)
        if self._scope is not None:
            repeated = "" if reply.has_secret else body
            insert_once(
                connection,
                idempotent_replies,
                scope=self._scope,
                request_sha256=self._fingerprint,
                status=reply.status,
                headers=json.dumps(dict(reply.headers) | ({_SECRET: reply.subject} if reply.has_secret else {})),
                body=repeated,
                created_at=now(),
            )
        return _response(reply.status, reply.headers, body)

    @property
    def has_key(self) -> bool:
        """The request came with an Idempotency-Key."""
        return self._scope is not None

    def refuse_or_repeat(self) -> None:
        """RepeatedError with the reply that was given before; Problem where the key came with another request."""
        with self._store.read() as connection:
            kept = self._kept(connection)
        if kept is not None:
            raise RepeatedError(kept)

    def _kept(self, connection: Connection) -> Response | None:
        if self._scope is None:
            return None
        row = connection.execute(
            select(idempotent_replies).where(idempotent_replies.c.scope == self._scope)
        ).one_or_none()
        if row is None:
            return None
        if row.request_sha256 != self._fingerprint:
            raise Problem(KEY_REUSED, "The Idempotency-Key was used for another request; make a new one.")
        headers = json.loads(row.headers)
        if (subject := headers.get(_SECRET)) is not None:
            raise Problem(SHOWN_ONCE, f"This was done: {subject}. Its secret was in the first answer only.")
        return _response(row.status, headers | {"Idempotent-Replayed": "true"}, row.body)


IdempotencyKey = Annotated[
    str | None,
    Header(
        alias="Idempotency-Key",
        min_length=1,
        max_length=200,
        description="Any text of your own, new for each request; sent again with the same request, the same reply.",
    ),
]


async def _once(request: Request, store: Store, caller: Submits, idempotency_key: IdempotencyKey = None) -> Once:
    _refuse_two_keys(len(request.headers.getlist("idempotency-key")))
    body = await request.body()
    scope = None
    if idempotency_key is not None:
        said = (caller.key_id or "", request.method, request.url.path, idempotency_key)
        scope = sha256("\0".join(said).encode()).hexdigest()
    return Once(store, caller, scope, _fingerprint(request, body))


def _fingerprint(request: Request, body: bytes) -> str:
    """What makes a request the same one; the condition it was sent under is part of what it asks for."""
    condition = ", ".join(request.headers.getlist("if-match")).encode()
    said = (request.url.query.encode(), body, *((condition,) if condition else ()))
    return sha256(b"\0".join(said)).hexdigest()


def _refuse_two_keys(given: int) -> None:
    """One of them would be believed, and a client or a proxy in between might go by the other."""
    if given > 1:
        error = ProblemError(
            pointer="",
            parameter="Idempotency-Key",
            found=f"the header {given} times",
            expected="the header once",
            remedy="send one key with each request",
        )
        raise Problem(UNUSABLE, "A parameter cannot be used.", errors=[error])


async def _in_turn(once: Annotated[Once, Depends(_once)], store: Store, writers: Writers) -> AsyncIterator[Once]:
    """Writers that wait for the store take few of the threads, so that readers go on meanwhile."""
    if once.has_key:
        await run_in_threadpool(once.refuse_or_repeat)
    async with writers:
        if store.takes_no_write:
            raise unavailable("Another writer keeps the store; nothing of this request was kept.")
        yield once


Writing = Annotated[Once, Depends(_in_turn)]


def forget_old_replies(store: Database) -> None:
    """Drop replies that nobody will ask for any more."""
    old = idempotent_replies.c.created_at < now() - KEPT_FOR
    with store.read() as connection:
        if connection.execute(select(idempotent_replies.c.scope).where(old).limit(1)).one_or_none() is None:
            return
    with store.write() as connection:
        connection.execute(delete(idempotent_replies).where(old))


def _response(status: int, headers: Mapping[str, str], body: str) -> Response:
    return Response(body, status, dict(headers), "application/json" if body else None)
