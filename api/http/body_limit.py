"""No request body is longer than the settings allow, whatever route it is for."""

from __future__ import annotations

from starlette.datastructures import Headers
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
            if int(announced[:20]) <= _READ_AND_DROPPED_BYTES:
                await _drop(receive)
            await self._problem().response()(scope, receive, send)
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


async def _drop(receive: Receive, message: Message | None = None) -> None:
    dropped = 0
    while dropped <= _READ_AND_DROPPED_BYTES and (message is None or message.get("more_body", False)):
        message = await receive()
        dropped += len(message.get("body", b""))
