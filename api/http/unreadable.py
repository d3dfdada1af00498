"""What never becomes a request: bytes that are not HTTP, a head that does not end, an answer that nobody takes."""

from __future__ import annotations

import asyncio
import re
from http import HTTPStatus

from uvicorn.protocols.http.httptools_impl import HttpToolsProtocol

from api.http.problem import MEDIA_TYPE, Problem
from api.http.problem_kinds import HEAD_TOO_LONG, MALFORMED, TOO_SLOW, ProblemKind

HEAD_S = 15.0
"""From the first byte, or from the opening of a connection, to the end of the head."""
TAKEN_S = 60.0
"""A client that takes nothing more of its answer for so long is cut off."""
MOST_HEAD_BYTES = 65_536
"""More are not kept of what is neither a whole head nor a piece of a body."""
_METHOD = re.compile(rb"[!#$%&'*+.^_`|~0-9A-Za-z-]+(?= )")
"""A token at the beginning of a head (RFC 9110, 5.6.2)."""
_KNOWN_METHODS = frozenset({b"GET", b"HEAD", b"POST", b"PUT", b"PATCH", b"DELETE", b"OPTIONS", b"CONNECT", b"TRACE"})


class NoOneHostError(Exception):
    """A request of HTTP/1.1 must say for which one host it is (RFC 9112, 3.2)."""


class ProblemProtocol(HttpToolsProtocol):
    """The server's own protocol, with problem documents for answers, and with an end to every wait and every head."""

    _expects_head = True
    """No head has been begun, or it is not whole yet."""
    _between = True
    """Not even begun."""
    _odd_method: bytes | None = None
    _got_on = False
    """The bytes that came last have ended a head or a body, or were a piece of a body."""
    _unfinished_bytes = 0
    _head_ends: asyncio.TimerHandle | None = None
    _taking_ends: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        super().connection_made(transport)
        self._wait_for_head()

    def data_received(self, data: bytes) -> None:
        self._got_on = False
        super().data_received(self._with_known_method(data) if self._between else data)
        self._unfinished_bytes = 0 if self._got_on else self._unfinished_bytes + len(data)
        if self._unfinished_bytes > MOST_HEAD_BYTES:
            self._refuse_too_long()
        if self._waits_for_head():
            self._wait_for_head()
        else:
            self._end_head_timer()

    def on_message_begin(self) -> None:
        self._between = False
        super().on_message_begin()

    def on_header(self, name: bytes, value: bytes) -> None:
        if self._expects_head:  # else it stands behind a body, where nothing is looked for
            super().on_header(name, value)

    def on_headers_complete(self) -> None:
        self._expects_head, self._got_on = False, True
        self._check_host()
        super().on_headers_complete()
        if not self.url.startswith(b"/"):  # the address of a proxy's request is none of ours
            self.scope["path"] = self.url.decode("latin-1")
        if self._odd_method is not None:
            self.scope["method"], self._odd_method = self._odd_method.decode(), None

    def on_body(self, body: bytes) -> None:
        self._got_on = True
        super().on_body(body)

    def on_message_complete(self) -> None:
        self._expects_head = self._between = self._got_on = True
        super().on_message_complete()

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

    def _with_known_method(self, data: bytes) -> bytes:
        """The parser takes no other, and the application is to say which ones a route has."""
        found = _METHOD.match(data)
        if found is None or found[0] in _KNOWN_METHODS:
            return data
        self._odd_method = found[0]
        return b"TRACE" + data[found.end() :]

    def _check_host(self) -> None:
        hosts = sum(name == b"host" for name, _ in self.headers)
        if hosts > 1 or (hosts == 0 and self.parser.get_http_version() == "1.1"):
            raise NoOneHostError

    def _waits_for_head(self) -> bool:
        """And for nothing else: the answer to the request before is out."""
        return self._expects_head and (self.cycle is None or self.cycle.response_complete)

    def _wait_for_head(self) -> None:
        if self._head_ends is None:
            self._head_ends = self.loop.call_later(HEAD_S, self._give_up_head)

    def _give_up_head(self) -> None:
        self._head_ends = None
        if self._waits_for_head():
            self._refuse(TOO_SLOW, f"The head of the request was not complete after {HEAD_S:g} s.")

    def _refuse_too_long(self) -> None:
        if self._expects_head:
            self._refuse(HEAD_TOO_LONG, f"The head of the request is longer than {MOST_HEAD_BYTES} bytes.")
        else:
            self._refuse(MALFORMED, f"What stands between or behind the chunks is longer than {MOST_HEAD_BYTES} bytes.")

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
        """The last that is said on this connection; within an answer nothing more can be said."""
        if self.transport.is_closing():
            return
        if self.cycle is not None and not self.cycle.response_complete:
            self.cycle.disconnected = True
            self.cycle.message_event.set()
        if self.cycle is None or self.cycle.response_complete or not self.cycle.response_started:
            self.transport.write(_refusal(kind, detail))
        self.transport.close()


def _refusal(kind: ProblemKind, detail: str) -> bytes:
    content = Problem(kind, detail).document().model_dump_json(exclude_none=True).encode()
    head = (
        f"HTTP/1.1 {kind.status} {HTTPStatus(kind.status).phrase}\r\n"
        f"Content-Type: {MEDIA_TYPE}\r\n"
        f"Content-Length: {len(content)}\r\n"
        "Connection: close\r\n"
        "X-Content-Type-Options: nosniff\r\n"
        "\r\n"
    )
    return head.encode() + content
