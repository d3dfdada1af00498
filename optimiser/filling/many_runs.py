"""Many runs on one network, over all cores; the answers do not depend on how many."""

from __future__ import annotations

import ctypes
import multiprocessing
import os
import signal
from collections.abc import Callable, Iterable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from types import TracebackType

from threadpoolctl import threadpool_limits

from optimiser.filling.fill_run import FillRun
from optimiser.filling.fluidity_time import FluidityClock
from optimiser.filling.front_state import Drive
from optimiser.filling.simulate import FillLimits, simulate
from optimiser.network.flow_network import FlowNetwork
from optimiser.part.sequence import Sequence
from optimiser.part.shot import Crew

_WORTH_A_PROCESS = 40_000
"""Cells times runs above which starting worker processes (about a second) pays."""
_PR_SET_PDEATHSIG = 1


@dataclass(frozen=True, kw_only=True)
class Scene:
    """All of a run but its sequence."""

    network: FlowNetwork
    drive: Drive
    clock: FluidityClock
    crew: Crew


@dataclass(frozen=True, kw_only=True)
class Task:
    scene: int
    """Index of the scene among those the runner was made with."""
    sequence: Sequence
    limits: FillLimits


class Runner:
    """Runs tasks on a fixed tuple of scenes. Use as a context: its processes end with it."""

    def __init__(self, scenes: tuple[Scene, ...], *, workers: int | None = None) -> None:
        self.scenes = scenes
        self._workers = workers or usable_cores()
        self._pool: ProcessPoolExecutor | None = None
        self.runs = 0
        self.front_steps = 0
        self.solves = 0

    def __enter__(self) -> Runner:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._pool is not None:
            self._pool.shutdown(wait=error is None, cancel_futures=True)
            self._pool = None

    def run(self, tasks: Iterable[Task], *, each: Callable[[int], None] | None = None) -> list[FillRun]:
        """Results in the order of the tasks. `each` is called with the number done so far."""
        todo = list(tasks)
        effort = sum(self.scenes[task.scene].network.cell_count for task in todo)
        if self._workers > 1 and len(todo) > 1 and (self._pool is not None or effort > _WORTH_A_PROCESS):
            results = self._started_pool().map(_run_task, todo)
        else:
            results = map(self._run_here, todo)
        out = []
        for run in results:
            out.append(run)
            self.runs += 1
            self.front_steps += run.front_steps
            self.solves += run.solves
            if each is not None:
                each(len(out))
        return out

    def _run_here(self, task: Task) -> FillRun:
        return run_scene(self.scenes[task.scene], task.sequence, task.limits)

    def _started_pool(self) -> ProcessPoolExecutor:
        if self._pool is None:
            self._pool = ProcessPoolExecutor(
                self._workers,
                mp_context=multiprocessing.get_context("spawn"),
                initializer=_take_scenes,
                initargs=(self.scenes, os.getpid()),
            )
        return self._pool


def run_scene(scene: Scene, sequence: Sequence, limits: FillLimits) -> FillRun:
    return simulate(scene.network, scene.drive, scene.clock, sequence, scene.crew, limits)


def usable_cores() -> int:
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


_scenes: tuple[Scene, ...] = ()


def _take_scenes(scenes: tuple[Scene, ...], parent: int) -> None:
    """Keep the scenes in this worker, leave Ctrl-C to the parent, and die when it dies."""
    global _scenes
    _scenes = scenes
    threadpool_limits(limits=1, user_api="blas")
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        ctypes.CDLL(None).prctl(_PR_SET_PDEATHSIG, signal.SIGKILL)
    except (AttributeError, OSError):
        return
    if os.getppid() != parent:
        os._exit(1)


def _run_task(task: Task) -> FillRun:
    return run_scene(_scenes[task.scene], task.sequence, task.limits)
