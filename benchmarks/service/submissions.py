"""How fast layouts are taken in, each read, checked and written to the disk before it is answered."""

from __future__ import annotations

import json
from collections.abc import Iterator
from itertools import count, islice

import yaml

from benchmarks.page import table
from benchmarks.service.connection import post
from benchmarks.service.load import Served, served
from benchmarks.service.running_service import Service
from cases import demo_case_path

_WRITERS = 8
_HEADS = ("layouts", "asked", "answered per s", "p50 ms", "p99 ms", "longest ms", "warnings logged", "answers")


def submissions(service: Service, *, number: int, per_s: float) -> str:
    """From eight clients at once, no two alike: as fast as they ask, then at a steady rate."""
    _submitted(service, 200, None, first=0)
    rows = []
    for first, rate in ((200, None), (200 + number, per_s)):
        found = _submitted(service, number, rate, first=first)
        rows.append(
            (
                number,
                "at once" if rate is None else f"{rate:.0f} per s",
                f"{found.rate_per_s:.0f}",
                *(f"{found.percentile_ms(percent):.1f}" for percent in (50, 99, 100)),
                _troubles(service),
                found.said,
            )
        )
    return table(_HEADS, rows)


def _submitted(service: Service, number: int, per_s: float | None, *, first: int) -> Served:
    requests = [post("/v1/layouts", service.key, body) for body in islice(bodies(first), number)]
    return served(service.port, iter(requests), number=number, connections=_WRITERS, per_s=per_s)


def _troubles(service: Service) -> int:
    """Warnings and errors, such as that the store is locked."""
    lines = [json.loads(line) for line in service.log.read_text().splitlines() if line.startswith("{")]
    return sum(line["level"] not in ("debug", "info") for line in lines)


def bodies(first: int) -> Iterator[bytes]:
    """The demo case of a hull side as JSON, each with another name, another hose."""
    case = yaml.safe_load(demo_case_path("hull_side").read_text())
    hose = case["feed_lines"][0]["sections"][0]
    for number in count(first):
        case["name"] = f"Hull side {number}"
        hose["hose_length_mm"] = 1000 + number % 997
        yield json.dumps(case).encode()
