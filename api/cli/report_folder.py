"""The folder that a run's report goes to: whatever happens, no earlier report is left in the place of this one."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

import typer

from api.cli.out_folder import ready_out_folder

_NAMES = ("report.html", "report.json", "report.csv", "report.xlsx", "sheets")
_EARLIER = "earlier"
_AGAIN = "Mend what is said above, and run it again."


class ReportPlace:
    """Where the report of a run will lie; until then it says which run that is."""

    def __init__(self, folder: Path | None) -> None:
        self._folder, self.run_id = folder, "RUN"

    def begun(self, run_id: str) -> None:
        self.run_id = run_id
        if self._folder is not None:
            then = f"Look again later, or, if nobody works on it: {self.go_on}"
            _say_none(self._folder, failed=False, reason="The run goes on, or was broken off.", then=then)

    @property
    def go_on(self) -> str:
        return f"tapcall revalidate --continue {self.run_id}"


@contextmanager
def report_folder(folder: Path | None) -> Iterator[ReportPlace]:
    """Earlier reports go to DIR/earlier; until this one is written the place says so, and says why if it never is."""
    place = ReportPlace(folder)
    if folder is None:
        yield place
        return
    ready_out_folder(folder)
    _move_aside(folder)
    _say_none(folder, failed=False, reason="The run goes on, or was broken off.", then="Look again later.")
    try:
        yield place
    except typer.Exit:
        raise
    except BaseException as error:
        interrupted = isinstance(error, KeyboardInterrupt)
        reason = "Interrupted." if interrupted else str(error) or type(error).__name__
        then = f"Go on with it: {place.go_on}" if interrupted else _AGAIN
        _say_none(folder, failed=True, reason=reason, then=then)
        raise


def put(path: Path, content: bytes) -> None:
    """Whole or not at all."""
    part = path.with_name(f".{path.name}.part")
    part.write_bytes(content)
    os.replace(part, path)


def _move_aside(folder: Path) -> None:
    standing = [path for name in _NAMES if (path := folder / name).exists()]
    if not standing:
        return
    made_at = datetime.fromtimestamp(max(path.stat().st_mtime for path in standing), UTC)
    aside = _fresh(folder / _EARLIER / f"{made_at:%Y-%m-%dT%H%M%SZ}")
    aside.mkdir(parents=True)
    for path in standing:
        shutil.move(path, aside / path.name)


def _fresh(wanted: Path) -> Path:
    number, path = 1, wanted
    while path.exists():
        number += 1
        path = wanted.with_name(f"{wanted.name}-{number}")
    return path


def _say_none(folder: Path, *, failed: bool, reason: str, then: str) -> None:
    from api.reports.no_report import no_report_html, no_report_json

    at = datetime.now(UTC)
    writers: dict[str, Callable[..., str]] = {"report.html": no_report_html, "report.json": no_report_json}
    for name, write in writers.items():
        put(folder / name, write(failed=failed, reason=reason, at=at, then=then).encode())
