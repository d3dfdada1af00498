"""What was accepted is never lost: not by a killed child, not by a killed service, not by a restart."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable
from pathlib import Path
from typing import Any


def _is_gone(pid: int) -> bool:
    """No such process, or one that is dead and only waits to be collected (proc(5): state Z)."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] == "Z"
    except (FileNotFoundError, ProcessLookupError):
        return True


def _renamed(source: bytes, name: bytes) -> bytes:
    return source.replace(b"name: tiny panel", b"name: " + name)


def test_nothing_is_lost_by_a_stop_nor_by_a_kill(
    start_service: Callable[[], Any], tiny_source: bytes, wait_for: Callable[..., Any]
) -> None:
    """One plan made, one in the making; then SIGTERM, a restart, kill -9, another restart.

    No child outlives its service; the plan made is kept byte for byte; the other is made at last, with each
    broken attempt on record.
    """
    first = start_service()
    made = first.finished(first.submit(tiny_source)["id"])
    plan = first.client.get(made["links"]["plan"]).content
    broken_off = first.submit(_renamed(tiny_source, b"second panel"))["id"]
    child = first.attempt_process(broken_off, 1)
    first.end(signal.SIGTERM)
    assert _is_gone(child)

    second = start_service()
    assert second.job(made["id"]) == made
    assert second.client.get(made["links"]["plan"]).content == plan
    child = second.attempt_process(broken_off, 2)
    second.end(signal.SIGKILL)
    wait_for(lambda: _is_gone(child) or None, "the orphan to be gone")

    third = start_service()
    assert third.job(made["id"]) == made
    job = third.finished(broken_off)
    assert (job["state"], job["attempts"]) == ("succeeded", 3)


def test_a_child_that_is_killed_three_times_fails_its_job(
    start_service: Callable[[], Any], tiny_source: bytes
) -> None:
    """Two kills are survived; after the third the job has failed and says why."""
    service = start_service()
    job_id = service.submit(_renamed(tiny_source, b"killed panel"))["id"]
    for number in (1, 2, 3):
        os.kill(service.attempt_process(job_id, number), signal.SIGKILL)
    job = service.finished(job_id)
    assert (job["state"], job["attempts"]) == ("failed", 3)
    assert "result" not in job
    assert job["error"]["type"] == "/v1/problems/process-died"
    assert "exit code -9" in job["error"]["detail"]


def test_two_services_on_one_store_share_the_work(
    start_service: Callable[[], Any], tiny_source: bytes
) -> None:
    """What one is asked the other can tell; each job is done once, whoever does it."""
    first, second = start_service(), start_service()
    asked = [(first, second)[k % 2].submit(_renamed(tiny_source, b"shared %d" % k))["id"] for k in range(3)]
    done = [second.finished(job_id) for job_id in asked]
    assert [(job["state"], job["attempts"]) for job in done] == [("succeeded", 1)] * 3
    assert [first.job(job_id) for job_id in asked] == done
