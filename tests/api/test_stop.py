"""A stop is an order: what is under way is finished or handed back, nothing stays behind, and the exit code says so."""

from __future__ import annotations

import json
import os
import signal
import socket
import sqlite3
import subprocess
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from typing import Any

import httpx
import pytest

from api.store.database import Database
from cases import demo_case_path

MOST_S = 10.0
"""From the signal to the end of the process."""
IDLE_S = 4.0
"""The same where nothing is under way: before the time that requests under way are given runs out."""


def below(pid: int) -> set[int]:
    """The processes that this one has started, and theirs: proc(5), /proc/PID/task/TID/children."""
    found: set[int] = set()
    for file in Path(f"/proc/{pid}/task").glob("*/children"):
        with suppress(OSError):
            found |= {int(child) for child in file.read_text().split()}
    return found.union(*map(below, found))


def is_gone(pid: int) -> bool:
    """No such process, or one that is dead and only waits to be collected (proc(5): state Z)."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] == "Z"
    except (FileNotFoundError, ProcessLookupError):
        return True


def seconds_to_stop(process: subprocess.Popen[str], number: signal.Signals) -> float:
    began_s = time.monotonic()
    process.send_signal(number)
    process.wait(4 * MOST_S)
    took_s = time.monotonic() - began_s
    assert process.stdout is not None
    process.stdout.close()
    return took_s


def lines_of_log(log: Path) -> list[dict[str, Any]]:
    """Fails where a line is not JSON."""
    return [json.loads(line) for line in log.read_text().splitlines()]


@contextmanager
def uploading_slowly(service: Any) -> Iterator[None]:
    """A client that sends a byte of its body now and then, and would go on for a quarter of an hour."""
    enough = threading.Event()
    address = service.client.base_url
    with socket.create_connection((address.host, address.port)) as connection:
        key = service.client.headers["Authorization"]
        head = f"POST /v1/layouts HTTP/1.1\r\nHost: {address.host}\r\nAuthorization: {key}\r\n"
        connection.sendall(f"{head}Content-Type: application/yaml\r\nContent-Length: 9000\r\n\r\n".encode())

        def send() -> None:
            with suppress(OSError):  # until the service has closed the connection
                while not enough.wait(0.1):
                    connection.sendall(b"#")

        sender = threading.Thread(target=send)
        sender.start()
        try:
            yield
        finally:
            enough.set()
            sender.join()


@contextmanager
def asking(ask: Callable[[], object]) -> Iterator[None]:
    """A request that is still waiting for its answer at the stop; how it ends is not ours to say."""

    def go() -> None:
        with suppress(httpx.HTTPError):
            ask()

    client = threading.Thread(target=go)
    client.start()
    yield
    client.join()


def followed(service: Any, job_id: str) -> list[str]:
    """The events of a job until the stream ends."""
    with service.client.stream("GET", f"/v1/jobs/{job_id}/events") as answer:
        return [line for line in answer.iter_lines() if line.startswith("event:")]


def outcomes(data: Path) -> list[tuple[str, str, str]]:
    """Of a store that nobody has open any more: state of the job, outcome of its attempt, reason."""
    assert sorted(path.name for path in data.iterdir()) == ["tapcall.sqlite3"], "the store was not closed"
    with closing(sqlite3.connect(data / "tapcall.sqlite3")) as store:
        return store.execute(
            "SELECT state, outcome, reason FROM jobs LEFT JOIN attempts ON job_id = id ORDER BY created_at"
        ).fetchall()


@pytest.fixture
def long_source() -> bytes:
    """A case with so many cells that it is planned on several processes, and for longer than the tests here take."""
    source = demo_case_path("flat_panel").read_bytes()
    fine = source.replace(b"cell_mm: 50, coarse_cell_mm: 100", b"cell_mm: 33, coarse_cell_mm: 33")
    assert fine != source
    return fine


def test_a_service_in_the_midst_of_everything_stops_in_time(
    start_service: Callable[[], Any],
    long_source: bytes,
    monkeypatch: pytest.MonkeyPatch,
    wait_for: Callable[..., Any],
) -> None:
    """A plan on several processes, an open stream of events, a reader that hangs, a body that never ends.

    SIGTERM: exit code 0 within ten seconds, the plan handed back without a mark against it, the store closed, no
    process left, and every line of the log is JSON; those of the attempt name its job.
    """
    monkeypatch.setenv("TAPCALL_READER_PROCESSES", "1")
    service = start_service()
    pid = service.process.pid
    service.keep(long_source)
    readers = {each for each in below(pid) if b"spawn_main" in Path(f"/proc/{each}/cmdline").read_bytes()}
    assert len(readers) == 1
    job_id = service.submit(long_source)["id"]
    attempt = service.attempt_process(job_id, 1)
    wait_for(lambda: len(below(attempt)) >= 2 or None, "processes of the plan")
    events: list[str] = []
    with (
        asking(lambda: events.extend(followed(service, job_id))),
        uploading_slowly(service),
    ):
        wait_for(lambda: service.client.get("/metrics").is_success or None, "the service to answer meanwhile")
        for reader in readers:
            os.kill(reader, signal.SIGSTOP)
        with asking(lambda: service.client.get("/v1/schema/plan")):
            time.sleep(0.3)  # for the request to reach the reader; sooner, the test would only be easier
            started = below(pid)
            took_s = seconds_to_stop(service.process, signal.SIGTERM)
    service.client.close()
    assert service.process.returncode == 0
    assert took_s < MOST_S
    wait_for(lambda: all(map(is_gone, started)) or None, "all its processes to be gone")
    assert outcomes(service.data) == [("queued", "released", "the worker was stopped")]
    assert events
    lines = lines_of_log(service.log)
    assert {line["job"] for line in lines if line["logger"].startswith("api.jobs")} == {job_id}
    assert any(line["logger"] == "uvicorn.error" for line in lines)


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_a_service_with_nothing_to_do_stops_at_once(start_service: Callable[[], Any], number: signal.Signals) -> None:
    """By either signal, with a client that keeps its connection open."""
    service = start_service()
    assert service.client.get("/livez").is_success
    took_s = seconds_to_stop(service.process, number)
    service.client.close()
    assert service.process.returncode == 0
    assert took_s < IDLE_S
    assert outcomes(service.data) == []


def test_who_asks_twice_does_not_wait_for_slow_clients(start_service: Callable[[], Any]) -> None:
    """A second signal cuts off what is under way; the end is as clean."""
    service = start_service()
    with uploading_slowly(service):
        service.process.send_signal(signal.SIGINT)
        time.sleep(0.3)
        took_s = seconds_to_stop(service.process, signal.SIGINT)
    service.client.close()
    assert service.process.returncode == 0
    assert took_s < IDLE_S
    assert outcomes(service.data) == []


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_a_worker_hands_back_what_it_works_on(
    number: signal.Signals,
    start_tapcall: Callable[..., Any],
    migrated_file: Path,
    ask: Callable[..., str],
    long_source: bytes,
    tmp_path: Path,
    wait_for: Callable[..., Any],
) -> None:
    """Exit code 0, the job queued again, no process left."""
    data = tmp_path / "data"
    data.mkdir()
    (data / "tapcall.sqlite3").write_bytes(migrated_file.read_bytes())
    store = Database(f"sqlite:///{data / 'tapcall.sqlite3'}", busy_timeout_s=10.0)
    ask(store, source=long_source)
    store.close()
    worker = start_tapcall("work", "--data", data)
    assert worker.stdout.readline().startswith("Working on ")
    next(line for line in worker.stderr if "attempt started" in line)
    started = below(worker.pid)
    took_s = seconds_to_stop(worker, number)
    assert worker.returncode == 0
    assert took_s < MOST_S
    wait_for(lambda: all(map(is_gone, started)) or None, "all its processes to be gone")
    assert outcomes(data) == [("queued", "released", "the worker was stopped")]
