"""Memory and open files over a long time of the same."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import cycle
from pathlib import Path

import yaml

from benchmarks.page import table
from benchmarks.service.connection import get
from benchmarks.service.copied_plans import keep_copies, original_of
from benchmarks.service.filled_store import Sizes, job_id
from benchmarks.service.load import served
from benchmarks.service.running_service import Service, opened_store, running_service
from cases import demo_case_path

_LOOKS = 5
_HEADS = ("so far", "MB of the service", "its open files", "processes", "MB of the largest")


def steady_reads(service: Service, sizes: Sizes, *, number: int) -> str:
    """Reads of jobs, looked at a few times on the way."""
    step = max(1, sizes.jobs // 5_000)
    requests = cycle([get(f"/v1/jobs/{job_id(n)}", service.key) for n in range(0, sizes.jobs, step)])
    return table(_HEADS, _looks(service, requests, number, connections=16))


def steady_sheets(data: Path, *, number: int) -> str:
    """Run sheets of the demo panel drawn, each anew."""
    store = opened_store(data)
    keep_copies(store, original_of(yaml.safe_load(demo_case_path("flat_panel").read_text())), 1)
    store.close()
    with running_service(data, job_processes=0) as service:
        (plan,) = service.ask("/v1/plans")["items"]
        requests = cycle([get(f"/v1/plans/{plan['id']}/run-sheet", service.key)])
        return table(_HEADS, _looks(service, requests, number, connections=4))


def _looks(
    service: Service, requests: Iterator[bytes], number: int, *, connections: int
) -> Iterator[tuple[object, ...]]:
    for done in range(_LOOKS + 1):
        if done:
            found = served(service.port, requests, number=number // _LOOKS, connections=connections)
            if set(found.statuses) != {200}:
                raise RuntimeError(f"not every request was answered: {found.said}")
        children = service.children()
        yield (
            done * number // _LOOKS,
            f"{service.memory_mb():.1f}",
            service.open_files(),
            len(children),
            f"{max(children.values(), default=0):.1f}",
        )
