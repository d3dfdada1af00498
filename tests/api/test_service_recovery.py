"""Nothing that was accepted is ever lost: not by a killed child, not by a killed service, not by a restart."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable
from pathlib import Path
from typing import Any

LOST_BY_SIGKILL = "exit code -9"


def _is_gone(pid: int) -> bool:
    """No such process, or one that is dead and only waits to be collected (proc(5): state Z)."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] == "Z"
    except (FileNotFoundError, ProcessLookupError):
        return True


def test_layouts_jobs_and_plans_survive_a_restart(
    start_service: Callable[[], Any], tiny_source: bytes
) -> None:
    """What was there before an orderly stop is there after it, byte for byte."""
    first = start_service()
    job = first.finished(first.submit(tiny_source)["id"])
    plan = first.client.get(job["links"]["plan"]).content
    first.end(signal.SIGTERM)
    second = start_service()
    assert second.job(job["id"]) == job
    assert second.client.get(job["links"]["plan"]).content == plan
    assert second.client.get(job["links"]["layout"]).status_code == 200
    assert second.submit(tiny_source)["id"] == job["id"]


def test_a_killed_service_takes_its_child_along_and_the_job_is_finished_after_a_restart(
    start_service: Callable[[], Any], tiny_source: bytes, wait_for: Callable[..., Any]
) -> None:
    """kill -9 in the middle of planning: no orphan, and the next service plans the job in a second attempt."""
    first = start_service()
    job_id = first.submit(tiny_source)["id"]
    child = first.attempt_process(1)
    first.end(signal.SIGKILL)
    wait_for(lambda: _is_gone(child) or None, "the orphan to be gone")
    second = start_service()
    job = second.finished(job_id)
    assert (job["state"], job["attempts"]) == ("succeeded", 2)


def test_an_orderly_stop_in_the_middle_hands_the_job_to_the_next_service(
    start_service: Callable[[], Any], tiny_source: bytes, wait_for: Callable[..., Any]
) -> None:
    """SIGTERM: the child is ended, the job waits, and the restart plans it."""
    first = start_service()
    job_id = first.submit(tiny_source)["id"]
    child = first.attempt_process(1)
    first.end(signal.SIGTERM)
    assert _is_gone(child)
    second = start_service()
    assert second.finished(job_id)["state"] == "succeeded"


def test_a_killed_child_is_followed_by_another_until_the_third_is_lost(
    start_service: Callable[[], Any], tiny_source: bytes
) -> None:
    """Two kills are survived; after the third the job has failed with the reason, and a new one may be tried."""
    service = start_service()
    job_id = service.submit(tiny_source)["id"]
    for number in (1, 2, 3):
        os.kill(service.attempt_process(number), signal.SIGKILL)
    job = service.finished(job_id)
    assert (job["state"], job["attempts"]) == ("failed", 3)
    assert "result" not in job
    assert job["error"]["type"] == "/v1/problems/process-died"
    assert LOST_BY_SIGKILL in job["error"]["detail"]
    again = service.finished(service.submit(tiny_source)["id"])
    assert (again["state"], again["id"] != job_id) == ("succeeded", True)


def test_a_second_service_on_the_same_folder_is_refused(
    start_service: Callable[[], Any], tapcall: Callable[..., Any], tmp_path: Path
) -> None:
    """One line on stderr, exit code 1, and the first goes on."""
    first = start_service()
    second = tapcall("serve", "--port", "0", "--data", tmp_path / "data")
    assert second.returncode == 1
    assert "another tapcall serve" in second.stderr
    assert first.client.get("/readyz").status_code == 200
