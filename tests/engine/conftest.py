"""A real dask cluster on loopback: a scheduler and two worker processes, as an operator would start them."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

import optimiser
from api.engine.cluster import connect, disconnect

ROOT = Path(optimiser.__file__).parents[1]
LOOPBACK = ("--host", "127.0.0.1", "--no-dashboard", "--dashboard-address", "127.0.0.1:0")
WORKERS = ("--nthreads", "1", "--memory-limit", "1GB")
LONGEST_WAIT_S = 40.0
"""Far beyond what anything here takes, so that a slow machine does not fail a test."""


@dataclass(frozen=True, kw_only=True)
class Scheduler:
    address: str
    process: subprocess.Popen[bytes]


class Cluster:
    def __init__(self, address: str) -> None:
        self.address = address

    def on_each_worker(self, function: Callable[..., Any], *arguments: Any) -> list[Any]:
        client = connect(self.address)
        try:
            return list(client.run(function, *arguments).values())
        finally:
            disconnect(client)

    def addresses_of_workers(self) -> list[str]:
        client = connect(self.address)
        try:
            return list(client.nthreads())
        finally:
            disconnect(client)

    def kill_workers(self) -> None:
        """All of them; their nannies start others."""
        for pid in self.on_each_worker(os.getpid):
            os.kill(pid, signal.SIGKILL)


@contextmanager
def dask(*words: str, log: Path) -> Iterator[subprocess.Popen[bytes]]:
    """A `dask` command in a process group of its own, which is killed at the end with all that is in it."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "DASK_DISTRIBUTED__SCHEDULER__ALLOWED_FAILURES": "2"}
    if environment.pop("PYTHONDONTWRITEBYTECODE", ""):  # workers that are killed start often: compile once
        environment["PYTHONPYCACHEPREFIX"] = str(log.parent / "compiled")
    with log.open("ab") as out:
        process = subprocess.Popen(
            [sys.executable, "-m", "dask", *words, *LOOPBACK],
            stdout=out,
            stderr=out,
            env=environment,
            cwd=log.parent,
            start_new_session=True,
        )
    try:
        yield process
    finally:
        os.killpg(process.pid, signal.SIGKILL)
        process.wait()


def _listens(port: int) -> bool:
    try:
        socket.create_connection(("127.0.0.1", port), timeout=1.0).close()
    except OSError:
        return False
    return True


def _wait_for(look: Callable[[], bool], what: str) -> None:
    until = time.monotonic() + LONGEST_WAIT_S
    while not look():
        assert time.monotonic() < until, f"waited {LONGEST_WAIT_S:g} s for {what}"
        time.sleep(0.02)


@pytest.fixture(scope="session")
def start_dask(
    tmp_path_factory: pytest.TempPathFactory, until_left: Callable[[str], ExitStack]
) -> Callable[..., subprocess.Popen[bytes]]:
    """Starts a `dask` command that runs to the end of these tests."""
    folder = tmp_path_factory.mktemp("dask")
    running = until_left("engine")
    return lambda *words: running.enter_context(dask(*words, log=folder / f"{words[0]}.log"))


@pytest.fixture(scope="session")
def start_scheduler(start_dask: Callable[..., subprocess.Popen[bytes]]) -> Callable[[], Scheduler]:
    """Returns once it listens."""

    def start() -> Scheduler:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            port = int(probe.getsockname()[1])
        process = start_dask("scheduler", "--port", str(port))
        _wait_for(lambda: _listens(port), "the scheduler")
        return Scheduler(address=f"tcp://127.0.0.1:{port}", process=process)

    return start


@pytest.fixture(scope="session")
def cluster(start_scheduler: Callable[[], Scheduler], start_dask: Callable[..., subprocess.Popen[bytes]]) -> Cluster:
    found = Cluster(start_scheduler().address)
    start_dask("worker", found.address, "--nworkers", "2", *WORKERS)
    _wait_for(lambda: len(found.on_each_worker(os.getpid)) == 2, "both workers")
    return found
