"""Around every request: an id, a log line, safe headers, and a problem for any error left over."""

from __future__ import annotations

import asyncio
import logging
import re
import time
from uuid import uuid4

import anyio
from starlette.datastructures import Headers
from starlette.requests import ClientDisconnect
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.http.body_deadline import BodyDeadline
from api.http.problem import Problem, unavailable
from api.http.problem_kinds import INTERNAL
from api.http.wrong_requests import refuse_wrong_request
from api.logs import request_id

log = logging.getLogger(__name__)

_USABLE_REQUEST_ID = re.compile(r"[A-Za-z0-9._-]{1,64}")
_SAFE_HEADERS = (
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"content-security-policy", b"default-src 'none'; frame-ancestors 'none'"),
    (b"cache-control", b"no-cache"),
)


_FAULT_OF_OURS = Problem(INTERNAL, "The request could not be answered; nothing is known to be wrong with it.")
_STOPPED = unavailable("The service is being stopped; send the request again, with the same Idempotency-Key.")


class Outermost:
    """Wraps the application. Headers that a route set by itself stand."""

    def __init__(self, app: ASGIApp, *, only_loopback: bool) -> None:
        self._app, self._only_loopback = app, only_loopback

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        current = _request_id(headers)
        reset = request_id.set(current)
        answer = _Answer(send, current)
        try:
            await self._respond(scope, headers, receive, answer)
        finally:
            answer.log(scope)
            request_id.reset(reset)

    async def _respond(self, scope: Scope, headers: Headers, receive: Receive, answer: _Answer) -> None:
        try:
            refuse_wrong_request(scope, headers, only_loopback=self._only_loopback)
            if scope["method"] == "HEAD":
                await self._respond_to_head(scope, receive, answer)
            else:
                await self._app(scope, BodyDeadline(receive), answer)
        except Problem as problem:
            if answer.status is not None:
                raise
            await problem.response()(scope, receive, answer)
        except asyncio.CancelledError:  # by the server, when the time that a stop leaves to requests is over
            if answer.status is not None:
                raise
            await _STOPPED.response()(scope, receive, answer)
        except ClientDisconnect:
            log.info("the client went away before its request was complete")
        except Exception:
            log.exception("a request went wrong")
            if answer.status is not None:
                raise  # too late for an answer; the server closes the connection
            await _FAULT_OF_OURS.response()(scope, receive, answer)

    async def _respond_to_head(self, scope: Scope, receive: Receive, answer: _Answer) -> None:
        """As the GET would be, up to the body: the work ends where that begins, be it a stream without end."""
        with anyio.CancelScope() as until_the_body:

            async def without_body(message: Message) -> None:
                if message["type"] == "http.response.start":
                    await answer(message)
                elif not until_the_body.cancel_called:  # a stream may say more on its way out
                    until_the_body.cancel()
                    with anyio.CancelScope(shield=True):
                        await answer({"type": "http.response.body", "body": b""})

            await self._app({**scope, "method": "GET"}, BodyDeadline(receive), without_body)


class _Answer:
    """Passes an answer on, adding the headers, and remembers what became of it."""

    def __init__(self, send: Send, current: str) -> None:
        self._send, self._request_id = send, current
        self._began_s = time.monotonic()
        self.status: int | None = None

    async def __call__(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.status = message["status"]
            own = list(message.get("headers", ()))
            names = {name for name, _ in own}
            safe = [(name, value) for name, value in _SAFE_HEADERS if name not in names]
            message["headers"] = [*own, *safe, (b"x-request-id", self._request_id.encode())]
        await self._send(message)

    def log(self, scope: Scope) -> None:
        log.info(
            "request",
            extra={
                "method": scope["method"],
                "path": scope["path"],
                "status": self.status,
                "key": scope.get("state", {}).get("key_id"),
                "took_ms": round((time.monotonic() - self._began_s) * 1000, 1),
            },
        )


def _request_id(headers: Headers) -> str:
    given = headers.get("x-request-id", "")
    return given if _USABLE_REQUEST_ID.fullmatch(given) else uuid4().hex
