"""Many runs on one network; the answers depend neither on how many at once nor on who carries them."""

from __future__ import annotations

import os
from collections.abc import Callable, Generator, Iterable
from contextlib import closing
from dataclasses import replace
from types import TracebackType

from optimiser.filling.fill_run import FillRun
from optimiser.filling.local_runs import LocalRuns
from optimiser.filling.run_carrier import RunCarrier, Scene, Task, run_scene

__all__ = ["RunCarrier", "Runner", "Scene", "Task", "run_scene", "usable_cores"]

_WORTH_CARRYING = 20_000
"""Cells times runs, of this batch and those before it, above which starting worker processes (about a second) pays."""


class Runner:
    """Runs tasks on a fixed tuple of scenes, small sets itself, others through its carrier.

    Use as a context: worker processes of its own end with it; a carrier that was given stays open for its owner.
    """

    def __init__(
        self, scenes: tuple[Scene, ...], *, workers: int | None = None, carrier: RunCarrier | None = None
    ) -> None:
        self.scenes = scenes
        self._own = _local_carrier(workers or usable_cores()) if carrier is None else None
        self._carrier = carrier or self._own
        self._carrying, self._effort = False, 0
        self._twice = {id(scene) for k, scene in enumerate(scenes) if any(scene is one for one in scenes[:k])}
        self._played: dict[tuple[int, Task], FillRun] = {}
        """On scenes that stand twice in the tuple, where what is asked of the one is asked of the other."""
        self.runs = 0
        self.front_steps = 0
        self.solves = 0

    def __enter__(self) -> Runner:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._own is not None:
            self._own.close()

    def run(
        self,
        tasks: Iterable[Task],
        *,
        scenes: tuple[Scene, ...] | None = None,
        each: Callable[[int], None] | None = None,
        enough: Callable[[], bool] | None = None,
    ) -> list[FillRun]:
        """Results in the order of the tasks, on other scenes than the runner's own where they are given.

        `each` is called with the number done so far. Once `enough` says so the rest is given up; the first is always
        done.
        """
        out: list[FillRun] = []
        with closing(self._answers(list(tasks), self.scenes if scenes is None else scenes)) as results:
            for run in results:
                out.append(run)
                if each is not None:
                    each(len(out))
                if enough is not None and enough():
                    break
        return out

    def _answers(self, tasks: list[Task], scenes: tuple[Scene, ...]) -> Generator[FillRun, None, None]:
        """In the order of the tasks; none is played that has been on the same scene."""
        keys = [self._key(task, scenes) for task in tasks]
        asked: set[tuple[int, Task] | None] = {*self._played}
        fresh = []
        for task, key in zip(tasks, keys, strict=True):
            if key is None or key not in asked:
                fresh.append(task)
                asked.add(key)
        with closing(self._results(fresh, scenes)) as results:
            for key in keys:
                if key is not None and key in self._played:
                    yield self._played[key]
                    continue
                run = next(results)
                self.runs += 1
                self.front_steps += run.front_steps
                self.solves += run.solves
                if key is not None:
                    self._played[key] = run
                yield run

    def _key(self, task: Task, scenes: tuple[Scene, ...]) -> tuple[int, Task] | None:
        scene = scenes[task.scene]
        return (id(scene), replace(task, scene=0)) if id(scene) in self._twice else None

    def _results(self, tasks: list[Task], scenes: tuple[Scene, ...]) -> Generator[FillRun, None, None]:
        self._effort += sum(scenes[task.scene].network.sheet_count for task in tasks)
        if self._carrier is None or not self._worth_carrying(tasks):
            return _run_here(tasks, scenes)
        self._carrying = True
        return self._carrier.carry(scenes, tasks)

    def _worth_carrying(self, tasks: list[Task]) -> bool:
        return len(tasks) > 1 and (self._carrying or self._effort > _WORTH_CARRYING)


def _run_here(tasks: list[Task], scenes: tuple[Scene, ...]) -> Generator[FillRun, None, None]:
    for task in tasks:
        yield run_scene(scenes[task.scene], task.sequence, task.limits)


def _local_carrier(workers: int) -> RunCarrier | None:
    return LocalRuns(workers) if workers > 1 else None


def usable_cores() -> int:
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
