"""Run a worker: no HTTP, only jobs of the same store."""

from __future__ import annotations

from collections.abc import Callable
from threading import Event

from api.jobs.supervisor import Supervisor
from api.killed_workers import expect_killed_workers
from api.logs import log_to_stderr
from api.settings import Settings
from api.stop_signals import StopSignals
from api.store.open import ready_store
from optimiser.one_blas_thread import one_blas_thread_from_now_on


def work(settings: Settings, announce: Callable[[], None]) -> None:
    """Work until stopped by SIGTERM or Ctrl-C; what is in the making is then handed back."""
    log_to_stderr(settings.log_level)
    expect_killed_workers()
    one_blas_thread_from_now_on()
    stopped = Event()
    with StopSignals() as signals, ready_store(settings) as store:
        supervisor = Supervisor(store, settings)
        signals.then(stopped.set)
        supervisor.start()
        try:
            announce()
            stopped.wait()
        finally:
            supervisor.stop()
