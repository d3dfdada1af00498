"""A PostgreSQL server of the check's own, to be stopped and started; other checks keep theirs."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import make_url

_SCRIPT = Path(__file__).parents[2] / ".ci" / "postgres"


@dataclass(frozen=True, kw_only=True)
class OwnServer:
    url: str
    folder: Path

    def stop(self, how: str) -> None:
        """`fast`: whoever is connected is thrown out; `immediate`: as if it crashed."""
        self._control("stop", f"--mode={how}")

    def start(self) -> None:
        options = (
            f"-p {make_url(self.url).port} -c listen_addresses=127.0.0.1 "
            f"-c unix_socket_directories={self.folder} -c fsync=off"
        )
        self._control("start", f"--log={self.folder / 'log'}", f"--options={options}")

    def _control(self, *words: str) -> None:
        program = max(Path("/usr/lib/postgresql").glob("*/bin/pg_ctl"), key=lambda path: int(path.parts[4]))
        command = [str(program), f"--pgdata={self.folder / 'cluster'}", "--silent", "--wait", *words]
        as_its_owner = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []
        subprocess.run([*as_its_owner, *command], check=True, cwd="/", stdout=subprocess.DEVNULL)


@contextmanager
def own_server() -> Iterator[OwnServer]:
    started = subprocess.run([_SCRIPT], check=True, capture_output=True, text=True)
    url, folder = started.stdout.split()
    try:
        yield OwnServer(url=url, folder=Path(folder))
    finally:
        subprocess.run([_SCRIPT, "stop", folder], check=True)
