"""A migrated store, a real service in a process of its own, and the command line as a person calls it."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

import httpx
import pytest
import yaml
from typer.testing import CliRunner

import api
from api.cli.main import app
from api.store.database import Database
from api.store.migrate import migrate

TINY_CASE = Path(__file__).with_name("tiny_case.yaml")
LONGEST_WAIT_S = 40.0
"""Far beyond what anything here takes, so that a slow machine does not fail a test."""

T = TypeVar("T")
_COMMAND = [sys.executable, "-m", "api.cli.main"]


def _environment(**more: str) -> dict[str, str]:
    root = str(Path(api.__file__).parents[1])
    path = os.pathsep.join(filter(None, [os.environ.get("PYTHONPATH"), root]))
    return {**os.environ, "PYTHONPATH": path, "COLUMNS": "200", **more}


def _wait_for(look: Callable[[], T | None], what: str) -> T:
    """The first thing that `look` finds."""
    ends_s = time.monotonic() + LONGEST_WAIT_S
    while time.monotonic() < ends_s:
        if (found := look()) is not None:
            return found
        time.sleep(0.02)
    raise AssertionError(f"waited {LONGEST_WAIT_S:g} s for {what}")


@pytest.fixture(scope="session")
def wait_for() -> Callable[..., Any]:
    return _wait_for


@pytest.fixture(scope="session")
def tiny_path() -> Path:
    """A case that is planned in a moment."""
    return TINY_CASE


@pytest.fixture(scope="session")
def tiny_source() -> bytes:
    return TINY_CASE.read_bytes()


@pytest.fixture
def tiny_case() -> dict[str, Any]:
    """The tiny case as plain data, to be changed."""
    return dict(yaml.safe_load(TINY_CASE.read_text()))


@dataclass(frozen=True, kw_only=True)
class Service:
    """A running `tapcall serve`."""

    process: subprocess.Popen[str]
    client: httpx.Client
    data: Path
    log: Path

    def submit(self, source: bytes) -> dict[str, Any]:
        answer = self.client.post("/v1/layouts", content=source, headers={"Content-Type": "application/yaml"})
        assert answer.status_code == 202, answer.text
        return dict(answer.json())

    def job(self, job_id: str) -> dict[str, Any]:
        return dict(self.client.get(f"/v1/jobs/{job_id}").json())

    def finished(self, job_id: str) -> dict[str, Any]:
        return _wait_for(lambda: job if (job := self.job(job_id))["done"] else None, "the job to be done")

    def attempt_process(self, job_id: str, number: int) -> int:
        """Process id of this attempt of the job, once it has started."""

        def look() -> int | None:
            lines = [json.loads(line) for line in self.log.read_text().splitlines() if line.startswith("{")]
            wanted = (line for line in lines if (line.get("job"), line.get("attempt")) == (job_id, number))
            return next((line["pid"] for line in wanted if "pid" in line), None)

        return int(_wait_for(look, f"attempt {number} of {job_id}"))

    def end(self, number: signal.Signals = signal.SIGKILL) -> None:
        self.client.close()
        self.process.send_signal(number)
        self.process.wait(LONGEST_WAIT_S)
        if self.process.stdout is not None:
            self.process.stdout.close()


@pytest.fixture
def start_service(tmp_path: Path) -> Iterator[Callable[[], Service]]:
    """Starts services on one data folder, one after the other; a running one is killed at the end."""
    started: list[Service] = []

    def start() -> Service:
        service = run_service(tmp_path / "data", tmp_path / f"log-{len(started)}")
        started.append(service)
        return service

    yield start
    for service in started:
        if service.process.poll() is None:
            service.end()


@pytest.fixture(scope="session")
def service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Service]:
    """One service for all tests that do not harm it."""
    folder = tmp_path_factory.mktemp("service")
    running = run_service(folder / "data", folder / "log")
    yield running
    running.end(signal.SIGTERM)


@pytest.fixture(scope="session")
def tiny_job(service: Service) -> dict[str, Any]:
    """The tiny case, planned."""
    return service.finished(service.submit(TINY_CASE.read_bytes())["id"])


def run_service(data: Path, log: Path) -> Service:
    with log.open("w") as stderr:
        process = subprocess.Popen(
            [*_COMMAND, "serve", "--port", "0", "--data", str(data)],
            stdout=subprocess.PIPE,
            stderr=stderr,
            text=True,
            env=_environment(TAPCALL_POLL_S="0.05", TAPCALL_LEASE_S="0.5", TAPCALL_HEARTBEAT_S="0.1"),
        )
    assert process.stdout is not None
    first = process.stdout.readline()
    assert first.startswith("Serving http://127.0.0.1:"), log.read_text()
    client = httpx.Client(base_url=first.split()[1], timeout=LONGEST_WAIT_S)
    _wait_for(lambda: _is_ready(client) or None, "the service to be ready")
    return Service(process=process, client=client, data=data, log=log)


def _is_ready(client: httpx.Client) -> bool:
    return client.get("/readyz").status_code == 200


@dataclass(frozen=True, kw_only=True)
class Ended:
    """What a call of the command left."""

    returncode: int
    stdout: str
    stderr: str


@pytest.fixture
def tapcall(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., Ended]:
    """Calls the command within this process, in an empty folder; neither stream is a terminal."""
    monkeypatch.chdir(tmp_path)

    def call(*arguments: str | Path, **environment: str) -> Ended:
        ended = CliRunner().invoke(app, [*map(str, arguments)], env={"COLUMNS": "200", **environment})
        return Ended(returncode=ended.exit_code, stdout=ended.stdout, stderr=ended.stderr)

    return call


@pytest.fixture
def tapcall_process(start_tapcall: Callable[..., subprocess.Popen[str]]) -> Callable[..., Ended]:
    """Calls the command as a shell does, in a process of its own."""

    def call(*arguments: str | Path) -> Ended:
        running = start_tapcall(*arguments)
        stdout, stderr = running.communicate(timeout=LONGEST_WAIT_S)
        return Ended(returncode=running.returncode, stdout=stdout, stderr=stderr)

    return call


def _hear_control_c() -> None:
    """A shell lets what it starts in the background ignore Ctrl-C, and its children with it."""
    signal.signal(signal.SIGINT, signal.default_int_handler)


@pytest.fixture
def start_tapcall(tmp_path: Path) -> Iterator[Callable[..., subprocess.Popen[str]]]:
    """Starts the command in an empty folder and leaves it running."""
    started: list[subprocess.Popen[str]] = []

    def start(*arguments: str | Path) -> subprocess.Popen[str]:
        running = subprocess.Popen(
            [*_COMMAND, *map(str, arguments)],
            cwd=tmp_path,
            env=_environment(),
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            preexec_fn=_hear_control_c,
        )
        started.append(running)
        return running

    yield start
    for running in started:
        running.kill()
        running.communicate()


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Database]:
    """An empty store, migrated."""
    database = Database(f"sqlite:///{tmp_path / 'store.sqlite3'}", busy_timeout_s=10.0)
    migrate(database)
    yield database
    database.close()
