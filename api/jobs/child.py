"""What runs in the process of one attempt: read the case, plan it, hand the plan in through the fence."""

from __future__ import annotations

import ctypes
import logging
import os
import signal
import sys
import time

from api.jobs.attempt import StaleAttemptError, finish_with_error, finish_with_plan, note_progress, source_of
from api.jobs.job_error import JobError, JobErrorKind
from api.logs import log_to_stderr
from api.settings import Settings
from api.store.database import Database
from api.store.plans import NewPlan
from optimiser.case.plan_document import PlanDocument
from optimiser.errors import InputError, NotConvergedError, OutOfRangeError

_PR_SET_PDEATHSIG = 1
_PROGRESS_EVERY_S = 0.5

log = logging.getLogger(__name__)


def run_attempt(settings: Settings, token: str, parent_pid: int) -> None:
    """Entry point of the child. Any exit without a finished attempt counts as a lost one."""
    _die_with(parent_pid)
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C in the terminal is the parent's to handle
    log_to_stderr(settings.log_level)
    database = Database(settings.store_url, busy_timeout_s=settings.busy_timeout_s)
    try:
        work_on(database, token)
    except StaleAttemptError:
        log.warning("attempt ended meanwhile, result dropped")
    except Exception:
        log.exception("attempt broke off")
        sys.exit(1)


def work_on(database: Database, token: str) -> None:
    """Plan the case of a running attempt and hand in what came of it."""
    try:
        plan = _plan(source_of(database, token), _ProgressNotes(database, token))
    except InputError as error:
        failure = JobError(kind=JobErrorKind.INPUT, detail="The case cannot be planned.", faults=error.faults)
        finish_with_error(database, token, failure)
    except (NotConvergedError, OutOfRangeError) as error:
        finish_with_error(database, token, JobError(kind=JobErrorKind.NOT_CONVERGED, detail=str(error)))
    else:
        document = plan.model_dump_json()
        finish_with_plan(
            database, token, NewPlan(document=document, verdict=plan.verdict, wet_out_s=plan.wet_out_s)
        )


def _plan(source: bytes, notes: _ProgressNotes) -> PlanDocument:
    # Here and not above: the parent imports this file, and must not carry the solver in its memory.
    from optimiser.case.planning import plan_case
    from optimiser.case.read_case import read_case

    return plan_case(read_case(source), progress=lambda at: notes(at.phase, at.fraction, at.best_wet_out_s))


class _ProgressNotes:
    """Writes progress to the store: each new phase, and within a phase not more often than the interval."""

    def __init__(self, database: Database, token: str) -> None:
        self._database, self._token = database, token
        self._phase, self._next_s = "", 0.0

    def __call__(self, phase: str, fraction: float, best_wet_out_s: float | None) -> None:
        if phase == self._phase and time.monotonic() < self._next_s:
            return
        self._phase, self._next_s = phase, time.monotonic() + _PROGRESS_EVERY_S
        note_progress(
            self._database, self._token, phase=phase, fraction=fraction, best_wet_out_s=best_wet_out_s
        )


def _die_with(parent_pid: int) -> None:
    """Have Linux end this process with its parent; elsewhere the fence alone keeps a late result out."""
    if sys.platform != "linux":
        return
    ctypes.CDLL(None).prctl(_PR_SET_PDEATHSIG, signal.SIGKILL, 0, 0, 0)
    if os.getppid() != parent_pid:  # the parent died before the kernel was asked
        os._exit(1)
