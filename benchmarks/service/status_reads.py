"""How fast `GET /v1/jobs/{id}` is answered: by an idle machine, and while both cores plan."""

from __future__ import annotations

import time
from collections.abc import Iterator
from itertools import cycle
from pathlib import Path

import yaml

from benchmarks.page import table
from benchmarks.service.connection import get
from benchmarks.service.filled_store import Sizes, job_id
from benchmarks.service.load import Served, served
from benchmarks.service.running_service import Service, running_service
from cases import demo_case_path

_CONNECTIONS = 16
_DIFFERENT = 5_000
"""Jobs that are asked for, from all over the store."""
_PLANS_AT_ONCE = 2
_HEADS = ("reads", "asked", "answered per s", "p50 ms", "p99 ms", "longest ms", "ms on a processor", "answers")


def idle_reads(service: Service, sizes: Sizes, *, number: int, per_s: float) -> str:
    """As fast as sixteen clients ask, then at a steady rate."""
    served(service.port, _reads(service.key, sizes), number=2_000, connections=_CONNECTIONS)
    return table(
        _HEADS,
        (
            _row(service, _reads(service.key, sizes), number, None),
            _row(service, _reads(service.key, sizes), number, per_s),
        ),
    )


def reads_while_planning(data: Path, *, number: int, per_s: float) -> str:
    """At a steady rate, of the very jobs that are being planned."""
    with running_service(data, job_processes=_PLANS_AT_ONCE) as service:
        planned = [_begin_plan(service, name) for name in range(_PLANS_AT_ONCE)]
        while not all(service.ask(path)["progress"]["fraction"] > 0 for path in planned):
            time.sleep(0.5)
        requests = cycle([get(path, service.key) for path in planned])
        rows = [_row(service, requests, number, per_s)]
        if any(service.ask(path)["done"] for path in planned):
            raise RuntimeError("a plan was done before the last read: ask for fewer")
    return table(_HEADS, rows)


def _reads(key: str, sizes: Sizes) -> Iterator[bytes]:
    step = max(1, sizes.jobs // _DIFFERENT)
    return cycle([get(f"/v1/jobs/{job_id(number)}", key) for number in range(0, sizes.jobs, step)])


def _begin_plan(service: Service, name: int) -> str:
    case = yaml.safe_load(demo_case_path("hull_side").read_text())
    layout = service.ask("/v1/layouts", {**case, "name": f"Hull side {name}"})
    return str(service.ask("/v1/plans", {"layout_id": layout["id"]})["links"]["self"])


def _row(service: Service, requests: Iterator[bytes], number: int, per_s: float | None) -> tuple[object, ...]:
    before_s = service.cpu_s()
    found: Served = served(service.port, requests, number=number, connections=_CONNECTIONS, per_s=per_s)
    cpu_ms = 1000 * (service.cpu_s() - before_s) / number
    return (
        number,
        "at once" if per_s is None else f"{per_s:.0f} per s",
        f"{found.rate_per_s:.0f}",
        *(f"{found.percentile_ms(percent):.1f}" for percent in (50, 99, 100)),
        f"{cpu_ms:.2f}",
        found.said,
    )
