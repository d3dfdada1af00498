"""A request as bytes on the wire, and the answer to it."""

from __future__ import annotations

import json
import socket
import time
from dataclasses import dataclass
from typing import Any

_LONGEST_WAIT_S = 60.0


@dataclass(frozen=True, kw_only=True)
class Sent:
    """A request. `raw` is sent as it is; else the bytes are put together from the rest."""

    what: str
    """In a word or two, for counts."""
    method: str = "GET"
    target: str = "/"
    headers: tuple[tuple[str, str], ...] = ()
    body: bytes = b""
    says_length: bool = True
    raw: bytes | None = None
    data: Any = None
    """What the body says, where it is whole: pointers of faults must lead into it."""

    def on_the_wire(self, key: str) -> bytes:
        """All of it, asking for the connection to be closed."""
        if self.raw is not None:
            return self.raw
        own = {name.lower() for name, _ in self.headers}
        headers = [("Host", "127.0.0.1"), ("Authorization", f"Bearer {key}"), ("Connection", "close")]
        if self.says_length and (self.body or self.method not in ("GET", "HEAD")):
            headers.append(("Content-Length", str(len(self.body))))
        lines = [f"{name}: {text}" for name, text in (*(h for h in headers if h[0].lower() not in own), *self.headers)]
        head = "\r\n".join([f"{self.method} {self.target} HTTP/1.1", *lines, "", ""])
        return head.encode("latin-1", "replace") + self.body


@dataclass(frozen=True, kw_only=True)
class Answer:
    status: int
    """0: the connection was closed without an answer."""
    head: str
    body: bytes
    took_s: float

    @property
    def problem(self) -> dict[str, Any]:
        """The body as a document; ValueError where it is none."""
        return dict(json.loads(self.body))


def send(port: int, key: str, sent: Sent) -> Answer:
    """What comes back until the connection is closed."""
    began_s = time.perf_counter()
    received = bytearray()
    with socket.create_connection(("127.0.0.1", port), timeout=_LONGEST_WAIT_S) as connection:
        try:
            connection.sendall(sent.on_the_wire(key))
            while piece := connection.recv(65_536):
                received += piece
        except ConnectionError:
            pass  # the service may close before it has read what it does not want
    head, _, body = bytes(received).partition(b"\r\n\r\n")
    status = int(head[9:12]) if head.startswith(b"HTTP/1.1 ") else 0
    return Answer(status=status, head=head.decode("latin-1"), body=body, took_s=time.perf_counter() - began_s)
