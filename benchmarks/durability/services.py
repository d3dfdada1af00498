"""The service, started one way or the other, to be killed."""

from __future__ import annotations

import os
import signal
import subprocess
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing import Pipe
from urllib.parse import urlsplit

from benchmarks.durability.forked_service import serve_here
from benchmarks.durability.forks import fork, pid_of
from benchmarks.durability.place import COMMAND, Place


@dataclass(frozen=True, kw_only=True)
class Running:
    """A service that takes requests."""

    pid: int
    host: str
    port: int
    wait: Callable[[], None]
    """Until it is gone."""

    def kill(self) -> None:
        os.kill(self.pid, signal.SIGKILL)
        self.wait()

    def stop(self) -> None:
        os.kill(self.pid, signal.SIGTERM)
        self.wait()


def forked_service(place: Place, *, busy_timeout_s: float = 10.0, dies_at: int | None = None) -> Running:
    """HTTP alone; nobody works on the jobs. dies_at: it kills itself before so many fresh answers are told."""
    here, there = Pipe(duplex=False)
    settings = place.settings(
        port=0, keys=False, job_processes=0, most_waiting=10**9, busy_timeout_s=busy_timeout_s
    )
    process = fork(serve_here, settings, there, dies_at)
    there.close()
    address = urlsplit(here.recv())
    return Running(pid=pid_of(process), host=str(address.hostname), port=int(address.port or 0), wait=process.join)


def tapcall_serve(place: Place, *, job_processes: int = 0, busy_timeout_s: float = 10.0) -> Running:
    """The command itself."""
    process = subprocess.Popen(
        [*COMMAND, "serve", "--port", "0", "--no-keys"],
        env=place.environment(job_processes=job_processes, busy_timeout_s=busy_timeout_s, log_level="error"),
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    )
    assert process.stdout is not None
    address = urlsplit(process.stdout.readline().split()[1])

    def wait() -> None:
        process.wait()
        assert process.stdout is not None
        process.stdout.close()

    return Running(pid=process.pid, host=str(address.hostname), port=int(address.port or 0), wait=wait)
