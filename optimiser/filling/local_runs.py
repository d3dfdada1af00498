"""Runs carried by processes of this machine, started when they are first wanted."""

from __future__ import annotations

import os
from collections.abc import Generator
from concurrent.futures import ProcessPoolExecutor

from optimiser.filling.fill_run import FillRun
from optimiser.filling.run_carrier import Scene, Task, run_scene
from optimiser.worker_process import begin_worker, hold_for_workers, worker_context

hold_for_workers("optimiser.filling.run_carrier")


class LocalRuns:
    """A RunCarrier. The scene goes with each task: milliseconds, where a run takes tenths of seconds.

    It must not go with the start of a worker: one that dies as it starts never reads it, and Python's own start of
    processes then waits for ever.
    """

    def __init__(self, workers: int) -> None:
        self._workers = workers
        self._pool: ProcessPoolExecutor | None = None

    def carry(self, scenes: tuple[Scene, ...], tasks: list[Task]) -> Generator[FillRun, None, None]:
        pool, left = self._started_pool(), len(tasks)
        try:
            for run in pool.map(_run_task, (scenes[task.scene] for task in tasks), tasks):
                left -= 1
                yield run
        except BaseException:
            if left:  # what nobody waits for would hold up what is asked next
                self._end(wait=False)
            raise

    def close(self) -> None:
        self._end(wait=True)

    def _started_pool(self) -> ProcessPoolExecutor:
        if self._pool is None:
            self._pool = ProcessPoolExecutor(
                self._workers,
                mp_context=worker_context(),
                initializer=begin_worker,
                initargs=(os.getpid(),),
            )
        return self._pool

    def _end(self, *, wait: bool) -> None:
        if self._pool is not None:
            self._pool.shutdown(wait=wait, cancel_futures=True)
            self._pool = None


def _run_task(scene: Scene, task: Task) -> FillRun:
    return run_scene(scene, task.sequence, task.limits)
