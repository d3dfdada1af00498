"""Processes that begin in milliseconds: forked from one that holds all imports and no connection."""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable
from contextlib import suppress
from multiprocessing.context import ForkServerContext, ForkServerProcess
from typing import Any


def forks() -> ForkServerContext:
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["benchmarks.durability.preloaded"])
    return context


def fork(work: Callable[..., None], *arguments: Any) -> ForkServerProcess:
    """`work` in a process of its own, running."""
    process = forks().Process(target=work, args=arguments)
    process.start()
    return process


def pid_of(process: ForkServerProcess) -> int:
    assert process.pid is not None
    return process.pid


def kill(process: ForkServerProcess) -> None:
    """SIGKILL, unless it has ended by itself, and wait until it is gone."""
    with suppress(ProcessLookupError):
        process.kill()
    process.join()
    process.close()
