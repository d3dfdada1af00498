"""Keeps the jobs moving: claims them, gives each a process of its own, and notices when one dies."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.context import ForkServerProcess

from sqlalchemy.exc import DBAPIError

from api.jobs.attempt import (
    Claim,
    Patience,
    StaleAttemptError,
    claim,
    give_up,
    is_one_waiting,
    release,
    renew,
    still_running,
)
from api.jobs.attempt_processes import AttemptProcesses
from api.jobs.sweep import shorten, sweep
from api.settings import Settings
from api.store.database import Database

log = logging.getLogger(__name__)

_PAUSE_AFTER_ERROR_S = 2.0
_SOON_S = 1.0
"""So soon a cancelled job's process is ended."""


@dataclass(frozen=True, kw_only=True)
class _Running:
    claim: Claim
    process: ForkServerProcess
    ends_at_s: float
    """On the monotonic clock; later than this the process is taken to hang."""


class Supervisor:
    """One thread. It alone holds the children, so everything about them happens in one order."""

    def __init__(
        self, database: Database, settings: Settings, *, chores: tuple[Callable[[], None], ...] = ()
    ) -> None:
        """`chores` are done at every heartbeat."""
        self._database, self._settings, self._chores = database, settings, chores
        self._patience = Patience(lost=settings.most_attempts, abandoned=settings.most_abandoned)
        self._running: list[_Running] = []
        self._next_heartbeat_s = self._next_look_s = 0.0
        self._woken, self._stopping = threading.Event(), threading.Event()
        self._processes = AttemptProcesses(settings, when_ready=self.wake)
        self._thread = threading.Thread(target=self._run, name="supervisor")

    def start(self) -> None:
        self._thread.start()

    def wake(self) -> None:
        """There may be a new job; look now instead of at the next poll."""
        self._woken.set()

    def stop_soon(self) -> None:
        """Begin to end the children and to hand their jobs back unharmed."""
        self._stopping.set()
        self._woken.set()

    def stop(self) -> None:
        """End the children, hand their jobs back unharmed, and wait until that is done."""
        self.stop_soon()
        self._thread.join()

    @property
    def is_alive(self) -> bool:
        return self._thread.is_alive()

    def _run(self) -> None:
        while not self._stopping.is_set():
            try:
                self._turn()
            except DBAPIError as error:
                log.error("the store does not answer, trying again", extra={"cause": str(error.orig)})
                self._stopping.wait(_PAUSE_AFTER_ERROR_S)
            except Exception:
                log.exception("a turn of the supervisor went wrong, trying again")
                self._stopping.wait(_PAUSE_AFTER_ERROR_S)
            self._woken.wait(self._settings.poll_s)
            self._woken.clear()
        self._release_all()
        self._processes.end()

    def _turn(self) -> None:
        self._reap()
        self._end_overdue()
        if time.monotonic() >= self._next_heartbeat_s:
            self._beat()
        if time.monotonic() >= self._next_look_s:
            self._end_unwanted()
        while len(self._running) < self._settings.job_processes and self._start_next():
            pass

    def _beat(self) -> None:
        if self._running:  # before the sweep, so that a jump of the clock cannot sweep away our own
            renew(self._database, self._tokens(), lease_s=self._settings.lease_s)
        shorten(self._database, lease_s=self._settings.lease_s)
        for job_id in sweep(self._database, most_abandoned=self._settings.most_abandoned):
            log.warning("took back a job that nobody vouched for", extra={"job": job_id})
        for chore in self._chores:
            chore()
        self._next_heartbeat_s = time.monotonic() + self._settings.heartbeat_s

    def _start_next(self) -> bool:
        if not self._processes.are_ready:
            if is_one_waiting(self._database):
                self._processes.prepare()
            return False
        taken = claim(self._database, lease_s=self._settings.lease_s)
        if taken is None:
            return False
        process = self._processes.begin(taken)
        ends_at_s = time.monotonic() + self._settings.attempt_limit_s
        self._running.append(_Running(claim=taken, process=process, ends_at_s=ends_at_s))
        log.info("attempt started", extra={"job": taken.job_id, "attempt": taken.number, "pid": process.pid})
        return True

    def _reap(self) -> None:
        for running in [each for each in self._running if not each.process.is_alive()]:
            code = running.process.exitcode
            if code == 0:
                log.info("attempt ended", extra={"job": running.claim.job_id})
            self._forget(running, reason=f"its process ended with exit code {code}")

    def _end_overdue(self) -> None:
        for running in [each for each in self._running if time.monotonic() > each.ends_at_s]:
            running.process.kill()
            running.process.join()
            self._forget(running, reason=f"it took longer than {self._settings.attempt_limit_s:g} s")

    def _end_unwanted(self) -> None:
        """Processes of attempts that have been ended behind their back: cancelled, or swept by another worker."""
        self._next_look_s = time.monotonic() + _SOON_S / 2
        if not self._running:
            return
        wanted = still_running(self._database, self._tokens())
        for running in [each for each in self._running if each.claim.token not in wanted]:
            running.process.kill()

    def _forget(self, running: _Running, *, reason: str) -> None:
        """Record the end of a process; an attempt that has finished by itself is already closed to this."""
        try:
            state = give_up(self._database, running.claim.token, reason=reason, patience=self._patience)
            log.error("attempt lost", extra={"job": running.claim.job_id, "reason": reason, "now": state})
        except StaleAttemptError:
            pass
        self._running.remove(running)
        running.process.close()

    def _tokens(self) -> list[str]:
        return [running.claim.token for running in self._running]

    def _release_all(self) -> None:
        for running in self._running:
            running.process.kill()
            running.process.join()
            try:
                release(self._database, running.claim.token)
            except StaleAttemptError:
                pass
            except DBAPIError:
                log.exception("could not hand back a job; its lease will run out", extra={"job": running.claim.job_id})
            running.process.close()
        self._running.clear()
