"""How long `tapcall serve` takes from the call of the command until it is ready."""

from __future__ import annotations

from pathlib import Path
from statistics import median

from benchmarks.page import table
from benchmarks.service.running_service import running_service


def starts(data: Path, *, times: int) -> str:
    """On the store of the folder, one start after the other."""
    found = []
    for _ in range(times):
        with running_service(data, job_processes=0) as service:
            found.append((service.ready_after_s, service.cpu_s()))
    waits_s, cpus_s = zip(*found, strict=True)
    return table(
        ("starts", "median s", "longest s", "on a processor s"),
        [(times, f"{median(waits_s):.1f}", f"{max(waits_s):.1f}", f"{median(cpus_s):.1f}")],
    )
