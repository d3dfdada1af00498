"""How long a page of each list takes, from the newest entries to the oldest, in a store that is full."""

from __future__ import annotations

import base64
import json
import time
from collections.abc import Iterator
from datetime import datetime
from itertools import repeat
from pathlib import Path

from api.jobs.attempt import claim, release
from benchmarks.page import table
from benchmarks.service.connection import get
from benchmarks.service.filled_store import WAITING, Sizes, layout_id, moment_of_job
from benchmarks.service.load import percentile_ms, served
from benchmarks.service.running_service import Service, opened_store

_TIMES = 200
"""Each page is asked for so often, by one client."""
_HEADS = ("page", "p50 ms", "p99 ms", "longest ms")


def list_pages(service: Service, sizes: Sizes) -> str:
    """One row for each list and each place in it."""
    return table(_HEADS, (_row(service, name, path) for name, path in _pages(sizes)))


def claims(data: Path) -> str:
    """The waiting job found, taken, and given back; each with its wait for the disk."""
    store = opened_store(data)
    times_s = []
    for _ in range(_TIMES):
        began_s = time.perf_counter()
        taken = claim(store, lease_s=60)
        times_s.append(time.perf_counter() - began_s)
        assert taken is not None
        release(store, taken.token)
    store.close()
    times_s.sort()
    return table(_HEADS, [("claim of a job", *_figures(times_s))])


def _pages(sizes: Sizes) -> Iterator[tuple[str, str]]:
    oldest = sizes.jobs // 100
    for path, number in (
        ("/v1/layouts", oldest),
        ("/v1/jobs", oldest),
        ("/v1/jobs?state=succeeded", oldest),
        ("/v1/jobs?state=queued", sizes.jobs - WAITING // 2),
        ("/v1/plans", sizes.jobs - WAITING - sizes.plans * 99 // 100),
    ):
        yield f"{path}, newest", path
        yield f"{path}, far down", _with(path, f"cursor={_cursor(moment_of_job(number, sizes))}")
    for path in (
        "/v1/layouts?name=Hull%20side%207",
        f"/v1/jobs?layout_id={layout_id(sizes.layouts // 2)}",
        "/v1/jobs?kind=revalidation",
        "/v1/jobs?kind=check&state=cancelled",
        "/v1/jobs?updated_since=2025-01-01T00:00:00Z",
        "/v1/jobs?updated_since=2026-05-31T22:00:00Z",
        "/v1/plans?resin=demo%20resin%203",
        "/v1/plans?batch=none",
        "/v1/plans?verdict=not_admissible",
    ):
        yield path, path


def _with(path: str, parameter: str) -> str:
    return f"{path}{'&' if '?' in path else '?'}{parameter}"


def _cursor(moment: datetime) -> str:
    """As the service writes them: what comes after the entry of this moment."""
    return base64.urlsafe_b64encode(json.dumps([moment.isoformat(), "x"]).encode()).decode().rstrip("=")


def _row(service: Service, name: str, path: str) -> tuple[object, ...]:
    request = get(_with(path, "limit=50"), service.key)
    found = served(service.port, repeat(request), number=_TIMES, connections=1)
    if set(found.statuses) != {200}:
        raise RuntimeError(f"{path}: {found.said}")
    return f"`{name}`", *_figures(found.times_s)


def _figures(sorted_s: list[float]) -> tuple[str, ...]:
    return tuple(f"{percentile_ms(sorted_s, percent):.1f}" for percent in (50, 99, 100))
