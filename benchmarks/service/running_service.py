"""`tapcall serve` in a process of its own, on a store of the benchmark's."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.error import URLError

from api.keys.keys import make
from api.keys.scopes import Scope
from api.store.database import Database
from api.store.folder import ready_folder
from api.store.migrate import migrate

_LONGEST_WAIT_S = 120.0
_BUSY_TIMEOUT_S = 30.0


@dataclass(frozen=True, kw_only=True)
class Service:
    """A service that takes requests."""

    port: int
    key: str
    process_id: int
    log: Path
    ready_after_s: float
    """From the call of the command until /readyz said yes."""

    def ask(self, path: str, document: object = None) -> dict[str, Any]:
        """What the service says: to a GET, or to a POST of the document."""
        headers = {"Authorization": f"Bearer {self.key}", "Content-Type": "application/json"}
        body = None if document is None else json.dumps(document).encode()
        asked = urllib.request.Request(f"http://127.0.0.1:{self.port}{path}", body, headers)
        with urllib.request.urlopen(asked, timeout=_LONGEST_WAIT_S) as answer:
            return dict(json.load(answer))

    def cpu_s(self) -> float:
        """Time that the process that serves has spent on a processor."""
        fields = Path(f"/proc/{self.process_id}/stat").read_text().rpartition(")")[2].split()
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")

    def memory_mb(self) -> float:
        """Of that process, as much of it as lies in the machine's memory."""
        pages = int(Path(f"/proc/{self.process_id}/statm").read_text().split()[1])
        return pages * os.sysconf("SC_PAGE_SIZE") / 1e6

    def open_files(self) -> int:
        return len(os.listdir(f"/proc/{self.process_id}/fd"))

    def children(self) -> dict[int, float]:
        """Memory in MB of each process that the service has started and that runs."""
        found = {}
        for folder in Path("/proc").glob("[0-9]*"):
            try:
                fields = (folder / "stat").read_text().rpartition(")")[2].split()
                pages = int((folder / "statm").read_text().split()[1])
            except OSError:  # ended meanwhile
                continue
            if int(fields[1]) == self.process_id:
                found[int(folder.name)] = pages * os.sysconf("SC_PAGE_SIZE") / 1e6
        return found


def opened_store(data: Path) -> Database:
    """The embedded store of the folder, with its tables. The caller closes it."""
    ready_folder(data)
    store = Database(f"sqlite:///{data / 'tapcall.sqlite3'}", busy_timeout_s=_BUSY_TIMEOUT_S)
    migrate(store)
    return store


@contextmanager
def running_service(data: Path, **settings: object) -> Iterator[Service]:
    """The service over the folder; `settings` as in `api.settings`. It is stopped at the end."""
    key, log = _new_key(data), data / "log"
    began_s = time.perf_counter()
    with log.open("w") as stderr:
        process = subprocess.Popen(
            [sys.executable, "-m", "api.cli.main", "serve", "--port", "0", "--data", str(data)],
            stdout=subprocess.PIPE,
            stderr=stderr,
            text=True,
            env={**os.environ, **{f"TAPCALL_{name.upper()}": str(value) for name, value in settings.items()}},
        )
    assert process.stdout is not None
    try:
        first = process.stdout.readline()
        if not first.startswith("Serving "):
            raise RuntimeError(f"the service did not start: {log.read_text()[-2000:]}")
        port = int(first.rpartition(":")[2])
        _wait_until_ready(port)
        ready_after_s = time.perf_counter() - began_s
        yield Service(port=port, key=key, process_id=process.pid, log=log, ready_after_s=ready_after_s)
    finally:
        process.send_signal(signal.SIGTERM)
        process.wait(_LONGEST_WAIT_S)
        process.stdout.close()


def _new_key(data: Path) -> str:
    store = opened_store(data)
    with store.write() as connection:
        key = make(connection, name="benchmark", scopes=[Scope.OPERATE]).text
    store.close()
    return key


def _wait_until_ready(port: int) -> None:
    ends_s = time.perf_counter() + _LONGEST_WAIT_S
    while time.perf_counter() < ends_s:
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/readyz", timeout=5) as answer:
                if answer.status == 200:
                    return
        except (URLError, ConnectionError, TimeoutError):
            time.sleep(0.01)
    raise RuntimeError("the service did not get ready")
