"""No request body is longer than the settings allow, whatever route it is for."""

from __future__ import annotations

from contextlib import suppress

from starlette.datastructures import Headers
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.http.problem import Problem
from api.http.problem_kinds import TOO_LARGE

_READ_AND_DROPPED_BYTES = 64_000_000
"""So far an overlong body is still taken off the wire, so that the client gets to see the answer."""


class BodyLimit:
    """Wraps the application. An announced length beyond the limit is refused before the application hears of it."""

    def __init__(self, app: ASGIApp, *, largest_bytes: int) -> None:
        self._app, self._largest_bytes = app, largest_bytes

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        announced = Headers(scope=scope).get("content-length", "0")
        if announced.isascii() and announced.isdigit() and int(announced[:20]) > self._largest_bytes:
            # A client that waits for 100 (Continue) sends no body after any other answer (RFC 9110, 10.1.1).
            waits = "100-continue" in Headers(scope=scope).get("expect", "").lower()
            is_sent = not waits and int(announced[:20]) <= _READ_AND_DROPPED_BYTES
            answer = self._problem().response()
            await (_answer_and_drop(answer, scope, receive, send) if is_sent else answer(scope, receive, send))
            return
        length = 0

        async def counted() -> Message:
            nonlocal length
            message = await receive()
            length += len(message.get("body", b""))
            if length > self._largest_bytes:
                await _drop(receive, message)
                raise self._problem()
            return message

        await self._app(scope, counted, send)

    def _problem(self) -> Problem:
        headers = {"Connection": "close"}
        return Problem(TOO_LARGE, f"The body is longer than {self._largest_bytes} bytes.", headers=headers)


async def _answer_and_drop(answer: Response, scope: Scope, receive: Receive, send: Send) -> None:
    """The answer at once and whole, by its length; it ends, and the connection with it, when the body has come."""

    async def unended(message: Message) -> None:
        await send({**message, "more_body": True} if message["type"] == "http.response.body" else message)

    await answer(scope, receive, unended)
    with suppress(Problem):  # a body that takes too long: the answer is out
        await _drop(receive)
    await send({"type": "http.response.body", "body": b""})


async def _drop(receive: Receive, message: Message | None = None) -> None:
    dropped = 0
    while dropped <= _READ_AND_DROPPED_BYTES and (message is None or message.get("more_body", False)):
        message = await receive()
        dropped += len(message.get("body", b""))
