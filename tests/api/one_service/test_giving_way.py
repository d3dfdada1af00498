"""A service that plans goes on answering."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any


def niceness(process_id: int) -> int:
    """Field 19 of /proc/PID/stat (proc(5))."""
    return int(Path(f"/proc/{process_id}/stat").read_text().rpartition(")")[2].split()[16])


def test_an_attempt_gives_way_to_the_service(
    service: Any, wait_for: Callable[..., Any], tiny_source: bytes
) -> None:
    """Its process is nicer than the one that answers (nice(2)), so that both find a processor at once."""
    job = service.submit(tiny_source.replace(b"name: tiny panel", b"name: panel that gives way"))
    process_id = service.attempt_process(job["id"], 1)

    def is_nicer() -> bool | None:
        return niceness(process_id) > os.getpriority(os.PRIO_PROCESS, service.process.pid) or None

    assert wait_for(is_nicer, "the attempt to give way")
    assert service.finished(job["id"])["state"] == "succeeded"
