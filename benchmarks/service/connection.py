"""A client that costs little: HTTP/1.1 over one kept connection, one request at a time.

A client library takes as long for a request as the service does, and would be what is measured.
"""

from __future__ import annotations

import asyncio
import re
from dataclasses import dataclass

_LENGTH = re.compile(rb"\r\ncontent-length: *(\d+)", re.IGNORECASE)


@dataclass(frozen=True, kw_only=True)
class Answer:
    status: int
    body: bytes


class Connection(asyncio.Protocol):
    """Answers must come with their length, as those of the service do."""

    def __init__(self) -> None:
        self._transport: asyncio.Transport | None = None
        self._received = bytearray()
        self._awaited: asyncio.Future[Answer] | None = None

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        assert isinstance(transport, asyncio.Transport)
        self._transport = transport

    def connection_lost(self, exc: Exception | None) -> None:
        if self._awaited is not None and not self._awaited.done():
            self._awaited.set_exception(exc or ConnectionResetError("the service closed the connection"))

    def data_received(self, data: bytes) -> None:
        self._received += data
        head_end = self._received.find(b"\r\n\r\n") + 4
        if head_end < 4:
            return
        length = _LENGTH.search(self._received, 0, head_end)
        end = head_end + (int(length[1]) if length else 0)
        if len(self._received) < end or self._awaited is None:
            return
        answer = Answer(status=int(self._received[9:12]), body=bytes(self._received[head_end:end]))
        del self._received[:end]
        self._awaited.set_result(answer)

    async def ask(self, request: bytes) -> Answer:
        """The answer to one request, given as the bytes that go over the wire."""
        assert self._transport is not None
        self._awaited = asyncio.get_running_loop().create_future()
        self._transport.write(request)
        return await self._awaited

    def close(self) -> None:
        if self._transport is not None:
            self._transport.close()


async def connect(port: int) -> Connection:
    """A connection to the service on this machine."""
    _, connection = await asyncio.get_running_loop().create_connection(Connection, "127.0.0.1", port)
    return connection


def get(path: str, key: str) -> bytes:
    """A request that reads."""
    return f"GET {path} HTTP/1.1\r\nHost: 127.0.0.1\r\nAuthorization: Bearer {key}\r\n\r\n".encode()


def post(path: str, key: str, body: bytes) -> bytes:
    """A request that sends a JSON document."""
    head = (
        f"POST {path} HTTP/1.1\r\nHost: 127.0.0.1\r\nAuthorization: Bearer {key}\r\n"
        f"Content-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n"
    )
    return head.encode() + body
