"""What never becomes a request: bytes that are not HTTP, a head that does not end, an answer that nobody takes."""

from __future__ import annotations

import asyncio
from typing import Any

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

from api.http.problem import MEDIA_TYPE, Problem
from api.http.problem_kinds import MALFORMED, TOO_SLOW, ProblemKind

HEAD_S = 15.0
"""From the first byte, or from the opening of a connection, to the end of the head."""
TAKEN_S = 60.0
"""A client that takes nothing more of its answer for so long is cut off."""


class ProblemProtocol(H11Protocol):
    """The server's own protocol, with problem documents for answers, and with an end to every wait."""

    _head_ends: asyncio.TimerHandle | None = None
    _taking_ends: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        super().connection_made(transport)
        self._wait_for_head()

    def data_received(self, data: bytes) -> None:
        super().data_received(data)
        if self.conn.their_state is h11.IDLE:
            self._wait_for_head()
        else:
            self._end_head_timer()

    def connection_lost(self, exc: Exception | None) -> None:
        self._end_head_timer()
        self._end_taking_timer()
        super().connection_lost(exc)

    def pause_writing(self) -> None:
        super().pause_writing()
        self._watch_taking()

    def resume_writing(self) -> None:
        self._end_taking_timer()
        super().resume_writing()

    def send_400_response(self, msg: str) -> None:
        self._refuse(MALFORMED, msg)

    def _wait_for_head(self) -> None:
        if self._head_ends is None:
            self._head_ends = self.loop.call_later(HEAD_S, self._give_up_head)

    def _give_up_head(self) -> None:
        self._head_ends = None
        if self.conn.their_state is h11.IDLE and not self.transport.is_closing():
            self._refuse(TOO_SLOW, f"The head of the request was not complete after {HEAD_S:g} s.")

    def _watch_taking(self) -> None:
        left = self.transport.get_write_buffer_size()
        self._taking_ends = self.loop.call_later(TAKEN_S, self._cut_off_unless_taken, left)

    def _cut_off_unless_taken(self, left_before: int) -> None:
        if self.transport.get_write_buffer_size() < left_before:
            self._watch_taking()
        else:
            self.transport.abort()

    def _end_head_timer(self) -> None:
        if self._head_ends is not None:
            self._head_ends.cancel()
            self._head_ends = None

    def _end_taking_timer(self) -> None:
        if self._taking_ends is not None:
            self._taking_ends.cancel()
            self._taking_ends = None

    def _refuse(self, kind: ProblemKind, detail: str) -> None:
        content = Problem(kind, detail).document().model_dump_json(exclude_none=True).encode()
        headers: list[tuple[str, str]] = [
            ("Content-Type", MEDIA_TYPE),
            ("Content-Length", str(len(content))),
            ("Connection", "close"),
            ("X-Content-Type-Options", "nosniff"),
        ]
        answer: tuple[Any, ...] = (
            h11.Response(status_code=kind.status, headers=headers, reason=_REASONS[kind.status]),
            h11.Data(data=content),
            h11.EndOfMessage(),
        )
        for event in answer:
            self.transport.write(self.conn.send(event) or b"")
        self.transport.close()


_REASONS = {MALFORMED.status: b"Bad Request", TOO_SLOW.status: b"Request Timeout"}
