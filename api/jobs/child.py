"""What runs in the process of one attempt: do the work, hand the answer in through the fence."""

from __future__ import annotations

import logging
import multiprocessing
import signal
import sys
from collections.abc import Callable

from sqlalchemy.exc import OperationalError

from api.jobs.attempt import Patience, StaleAttemptError, finish_with_error, give_up, hand_back, work_of
from api.jobs.job_error import JobError, JobErrorKind
from api.jobs.limits import give_way, limit_memory
from api.jobs.patient_store import PatientStore, until_it_answers
from api.jobs.states import JobKind
from api.logs import log_to_stderr
from api.settings import Settings
from api.store.database import Database
from optimiser.errors import InputError, NotConvergedError, OutOfRangeError
from optimiser.worker_process import end_with

log = logging.getLogger(__name__)


def run_attempt(settings: Settings, token: str, parent_pid: int) -> None:
    """Entry point of the child, named for its job. Any exit without a finished attempt counts as a lost one."""
    end_with(parent_pid)
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C in the terminal is the parent's to handle
    log_to_stderr(settings.log_level, job=multiprocessing.current_process().name)
    database = PatientStore(settings.store_url, busy_timeout_s=settings.busy_timeout_s)
    try:
        limit_memory(settings.attempt_memory_mb)
        give_way()
        work_on(database, settings, token)
    except StaleAttemptError:
        log.warning("attempt ended meanwhile, result dropped")
    except MemoryError:
        _end(give_up, database, settings, token, f"it needed more than {settings.attempt_memory_mb} MB of memory")
    except OperationalError as error:
        log.exception("the store went away in the middle of a write")
        _end(hand_back, database, settings, token, f"the store went away: {_first_line(error.orig)}")
    except Exception as error:
        log.exception("attempt broke off")
        _end(give_up, database, settings, token, f"{type(error).__name__}: {_first_line(error)}")


def work_on(database: Database, settings: Settings, token: str) -> None:
    """Do what a running attempt is to do, and hand in what came of it."""
    work = work_of(database, token)
    # Here and not above: the parent imports this file, and must not carry the solver in its memory.
    try:
        if work.kind is JobKind.REVALIDATION:
            from api.revalidation.answer_run import answer_run

            answer_run(database, settings, token, work)
        else:
            from api.jobs.answer_case import answer_case

            answer_case(database, settings, token, work)
    except InputError as error:
        failure = JobError(kind=JobErrorKind.INPUT, detail="The case cannot be planned.", faults=error.faults)
        finish_with_error(database, token, failure)
    except (NotConvergedError, OutOfRangeError) as error:
        finish_with_error(database, token, JobError(kind=JobErrorKind.NOT_CONVERGED, detail=str(error)))


def _end(
    how: Callable[..., object], database: Database, settings: Settings, token: str, reason: str
) -> None:
    """Say why, since this process still can; a process that cannot is told by its exit code."""
    try:
        patience = Patience(lost=settings.most_attempts, abandoned=settings.most_abandoned)
        until_it_answers(lambda: how(database, token, reason=reason[:500], patience=patience))
    except StaleAttemptError:
        pass
    sys.exit(1)


def _first_line(error: object) -> str:
    return (str(error).splitlines() or [""])[0]
