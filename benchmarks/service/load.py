"""Requests sent to the service, and how long each took."""

from __future__ import annotations

import asyncio
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from benchmarks.service.connection import Connection, connect


@dataclass(frozen=True, kw_only=True)
class Served:
    """What came of a number of requests."""

    times_s: list[float]
    """Sorted; of all requests."""
    statuses: Counter[int]
    took_s: float
    """From the first request to the last answer."""

    @property
    def rate_per_s(self) -> float:
        return len(self.times_s) / self.took_s

    def percentile_ms(self, percent: float) -> float:
        """The time within which so many of the answers came."""
        return percentile_ms(self.times_s, percent)

    @property
    def said(self) -> str:
        """Statuses and how often each came."""
        return ", ".join(f"{count} x {status}" for status, count in sorted(self.statuses.items()))


def percentile_ms(sorted_s: list[float], percent: float) -> float:
    """The time, of those in seconds, within which so many of them lie."""
    return 1000 * sorted_s[min(len(sorted_s) - 1, int(len(sorted_s) * percent / 100))]


def served(
    port: int, requests: Iterator[bytes], *, number: int, connections: int, per_s: float | None = None
) -> Served:
    """Send so many requests on so many connections.

    `per_s`: requests fall due at even intervals, whether or not those before are answered, and times count from the
    moment that each was due: a slow answer shows in all that had to wait for it. None: each connection asks again
    as soon as it has its answer, and times count from the asking.
    """
    return asyncio.run(_Load(requests, number, per_s).run(port, connections))


class _Load:
    def __init__(self, requests: Iterator[bytes], number: int, per_s: float | None) -> None:
        self._requests, self._turns, self._per_s = requests, iter(range(number)), per_s
        self._times_s: list[float] = []
        self._statuses: Counter[int] = Counter()
        self._began_s = 0.0

    async def run(self, port: int, connections: int) -> Served:
        opened = [await connect(port) for _ in range(connections)]
        self._began_s = time.perf_counter()
        await asyncio.gather(*map(self._ask_on, opened))
        took_s = time.perf_counter() - self._began_s
        for connection in opened:
            connection.close()
        return Served(times_s=sorted(self._times_s), statuses=self._statuses, took_s=took_s)

    async def _ask_on(self, connection: Connection) -> None:
        for turn in self._turns:
            due_s = await self._due_s(turn)
            answer = await connection.ask(next(self._requests))
            self._times_s.append(time.perf_counter() - due_s)
            self._statuses[answer.status] += 1

    async def _due_s(self, turn: int) -> float:
        """When the request is to be asked, once that time has come."""
        if self._per_s is None:
            return time.perf_counter()
        due_s = self._began_s + turn / self._per_s
        if (early_s := due_s - time.perf_counter()) > 0:
            await asyncio.sleep(early_s)
        return due_s
