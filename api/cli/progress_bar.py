"""Progress on stderr: a bar where a person looks on, one line for each phase where none does."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Protocol

from rich.console import Console
from rich.progress import BarColumn, Progress, TaskID, TaskProgressColumn, TextColumn, TimeElapsedColumn


class At(Protocol):
    """Where the planner is."""

    @property
    def phase(self) -> str: ...

    @property
    def fraction(self) -> float: ...

    @property
    def best_wet_out_s(self) -> float | None: ...


OnProgress = Callable[[At], None]


@contextmanager
def progress_on_stderr() -> Iterator[OnProgress]:
    console = Console(stderr=True)
    if not console.is_terminal:
        yield _phase_lines(console)
        return
    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        TaskProgressColumn(),
        TimeElapsedColumn(),
        TextColumn("{task.fields[best]}"),
    )
    with Progress(*columns, console=console, transient=True) as bar:
        yield _bar_updates(bar, bar.add_task("starting", total=1.0, best=""))


def _bar_updates(bar: Progress, task: TaskID) -> OnProgress:
    def show(at: At) -> None:
        best = "" if at.best_wet_out_s is None else f"best wet-out {at.best_wet_out_s / 60:.1f} min"
        bar.update(task, description=at.phase, completed=at.fraction, best=best)

    return show


def _phase_lines(console: Console) -> OnProgress:
    shown: set[str] = set()

    def show(at: At) -> None:
        if at.phase not in shown:
            shown.add(at.phase)
            console.print(at.phase, markup=False, highlight=False, soft_wrap=True)

    return show
