"""Many malformed requests at a running service, a few at a time, each judged."""

from __future__ import annotations

import json
import socket
import threading
from collections import Counter
from collections.abc import Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from benchmarks.malformed import broken_text
from benchmarks.malformed.malformed import malformed
from benchmarks.malformed.originals import Original, originals, resin_sheet
from benchmarks.malformed.sent import Answer, Sent, send
from benchmarks.malformed.verdict import complaint
from cases import demo_case_path

_AT_ONCE = 4


@dataclass(kw_only=True)
class Outcome:
    """What came of them."""

    by_status: Counter[tuple[str, int]] = field(default_factory=Counter)
    """By what was sent, and the status of the answer."""
    longest_s: float = 0.0
    longest: int = -1
    """Number of the request that took longest."""
    complaints: dict[int, str] = field(default_factory=dict)
    """By number of the request."""
    visitors: int = 0
    """Connections to the place where nobody should come."""


def barrage(port: int, key: str, numbers: Iterable[int], *, longest_s: float) -> Outcome:
    """All of them. Any answer that took more than `longest_s` is complained of."""
    rights = _kept_originals(port, key)
    outcome = Outcome()
    with _listener() as visited, ThreadPoolExecutor(_AT_ONCE) as pool:

        def one(number: int) -> tuple[int, Sent, Answer]:
            sent = malformed(number, rights, visited.port)
            return number, sent, send(port, key, sent)

        for number, sent, answer in pool.map(one, numbers):
            outcome.by_status[sent.what, answer.status] += 1
            if answer.took_s > outcome.longest_s:
                outcome.longest_s, outcome.longest = answer.took_s, number
            if (said := complaint(sent, answer, longest_s=longest_s)) is not None:
                outcome.complaints[number] = f"{sent.what}, {sent.method} {sent.target[:80]}: {said}"
    outcome.visitors = visited.count
    return outcome


def _kept_originals(port: int, key: str) -> tuple[Original, ...]:
    """With the ids of documents that are there now."""
    layout_id = _kept(port, key, "layouts", demo_case_path("flat_panel").read_bytes())
    resin_id = _kept(port, key, "resins", broken_text.as_json(resin_sheet()))
    return originals(layout_id, resin_id)


def _kept(port: int, key: str, kind: str, source: bytes) -> str:
    headers = (("Content-Type", "application/yaml"),)
    answer = send(port, key, Sent(what=kind, method="POST", target=f"/v1/{kind}", headers=headers, body=source))
    if answer.status not in (200, 201):
        raise RuntimeError(f"a right document was refused: {answer.body[:2_000]!r}")
    document: dict[str, Any] = json.loads(answer.body)
    return str(document["id"])


@dataclass(kw_only=True)
class _Visited:
    port: int
    count: int = 0


@contextmanager
def _listener() -> Iterator[_Visited]:
    """A place on this machine that counts who comes."""
    with socket.create_server(("127.0.0.1", 0)) as listener:
        visited = _Visited(port=listener.getsockname()[1])

        def welcome() -> None:
            while True:
                try:
                    connection, _ = listener.accept()
                except OSError:
                    return
                visited.count += 1
                connection.close()

        waiting = threading.Thread(target=welcome, daemon=True)
        waiting.start()
        yield visited
        listener.shutdown(socket.SHUT_RDWR)
        waiting.join()
