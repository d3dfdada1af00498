"""The processes of attempts: forked from one that has imported what they need, so that work begins at once."""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Callable
from multiprocessing.context import ForkServerProcess

from api.jobs.attempt import Claim
from api.jobs.child import run_attempt
from api.settings import Settings
from optimiser.worker_process import begin_worker, hold_for_workers, worker_context

hold_for_workers("api.preloaded")


class AttemptProcesses:
    """Where the imports are not done, `begin` waits for them; `prepare` has them done beside all else.

    A witness is forked first and lives on: it ends with the process from which it was forked, and shows whether that
    is there.
    """

    def __init__(self, settings: Settings, *, when_ready: Callable[[], None]) -> None:
        """`when_ready` is called when `prepare` is done, from a thread of its own."""
        self._settings, self._when_ready = settings, when_ready
        self._preparing: threading.Thread | None = None
        self._witness: ForkServerProcess | None = None

    @property
    def are_ready(self) -> bool:
        """Whether `begin` returns at once."""
        return self._witness is not None and self._witness.is_alive()

    def prepare(self) -> None:
        """Begin to make them ready, if that is not under way."""
        if self._preparing is None or not self._preparing.is_alive():
            self._preparing = threading.Thread(target=self._prepare, name="prepare attempts", daemon=True)
            self._preparing.start()

    def begin(self, claim: Claim) -> ForkServerProcess:
        process = worker_context().Process(
            target=run_attempt, args=(self._settings, claim.token, os.getpid()), name=claim.job_id
        )
        process.start()
        return process

    def end(self) -> None:
        """Those that were begun are their beginner's to end."""
        if self._witness is not None:
            self._witness.kill()
            self._witness.join()

    def _prepare(self) -> None:
        witness = worker_context().Process(target=_bear_witness, args=(os.getpid(),), daemon=True)
        witness.start()
        self._witness = witness
        self._when_ready()


def _bear_witness(maker_pid: int) -> None:
    begin_worker(maker_pid)
    signal.pause()
