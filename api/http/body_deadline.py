"""A request's body must come to its end within a time, however slowly its pieces arrive."""

from __future__ import annotations

import asyncio

from starlette.types import Message, Receive

from api.http.problem import Problem
from api.http.problem_kinds import TOO_SLOW

LONGEST_S = 60.0
"""From the moment that the application begins to read."""


class BodyDeadline:
    """Takes the place of `receive`. Once the body is whole, waiting for the client to leave has no limit."""

    def __init__(self, receive: Receive) -> None:
        self._receive = receive
        self._ends_at_s: float | None = None
        self._whole = False

    async def __call__(self) -> Message:
        if self._whole:
            return await self._receive()
        if self._ends_at_s is None:
            self._ends_at_s = asyncio.get_running_loop().time() + LONGEST_S
        try:
            async with asyncio.timeout_at(self._ends_at_s):
                message = await self._receive()
        except TimeoutError as error:
            raise Problem(
                TOO_SLOW, f"The body was not complete after {LONGEST_S:g} s.", headers={"Connection": "close"}
            ) from error
        self._whole = not message.get("more_body", False)
        return message
