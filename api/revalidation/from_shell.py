"""A run asked for and worked on by one process, as the shell does it."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from api.audit import note
from api.jobs.compose import kept_revision
from api.jobs.states import JobState
from api.jobs.supervisor import Supervisor
from api.killed_workers import expect_killed_workers
from api.logs import log_to_stderr
from api.readers.work import change_of, refuse_test_beyond_data
from api.reports.report_document import RevalidationReport
from api.revalidation.ask import facts_of_resins, refuse_to_judge_nothing
from api.revalidation.items import counted, counted_again
from api.revalidation.report import is_planning_again, report_of
from api.revalidation.runs import NewRun, PlanAgain, begin_run, find_run
from api.settings import Settings
from api.store.database import Database
from api.store.documents import DocumentKind
from api.store.open import ready_store
from api.store.plans import PlanFilter
from optimiser.errors import Fault, InputError

_LOOK_EVERY_S = 0.2
_TELL_EVERY_S = 5.0


@dataclass(frozen=True, kw_only=True)
class Asked:
    written: Mapping[str, Any]
    """The change as a `ChangeDocument` has it, without the resin."""
    resin_id: str | None
    batch: str | None
    plans: PlanFilter
    """Which of the stored plans are judged."""
    plan_again: str
    run_id: str | None
    """A run to go on with; then nothing else is looked at."""


def run_to_its_end(
    settings: Settings, asked: Asked, *, tell: Callable[[str], None], begun: Callable[[str], None]
) -> RevalidationReport:
    """Begin the run, or go on with one, and work until it is done. Broken off, it may be gone on with."""
    log_to_stderr("warning")
    expect_killed_workers()
    with ready_store(settings, may_begin=False) as store:
        run_id = _begun(store, asked) if asked.run_id is None else asked.run_id
        report = _report(store, run_id)
        tell(f"Run {run_id}: {report.asked} plans")
        begun(run_id)
        told = _Told(tell)
        supervisor = Supervisor(store, settings)
        supervisor.start()
        try:
            while report.state == "running":
                time.sleep(_LOOK_EVERY_S)
                told(_progress(store, run_id))
                if _is_done(store, run_id):
                    report = _report(store, run_id)
            told(_progress(store, run_id), at_once=True)
        finally:
            supervisor.stop()
        return report


def _begun(store: Database, asked: Asked) -> str:
    source = None
    if asked.resin_id is not None:
        with store.read() as connection:
            source = bytes(kept_revision(connection, DocumentKind.RESIN, asked.resin_id, None).source)
    change, said = change_of(asked.written, resin=source, batch=asked.batch)
    chosen = asked.plans
    try:
        refuse_to_judge_nothing(store, chosen, change)
        refuse_test_beyond_data(change, facts_of_resins(store, chosen, change))
    except InputError as error:
        raise InputError(replace(fault, path=_named_by(fault.path)) for fault in error.faults) from error
    new = NewRun(change=change, said=tuple(said), chosen=chosen, plan_again=PlanAgain(asked.plan_again))
    with store.write() as connection:
        run_id = begin_run(connection, new, by=None)
        note(connection, key_id=None, action="revalidation.ask (command line)", subject=run_id)
        return run_id


def _named_by(path: str) -> str:
    return _OPTIONS.get(path, path)


_OPTIONS = {
    "/plans/resin": "--planned-for",
    "/plans/batch": "--planned-batch",
    "/plans/name": "--part",
    "/plans/layout_id": "--layout",
    "/plans": "--planned-for, --planned-batch, --part and --layout together",
    "/change/resin_id": "--resin (other plans: --planned-for)",
    "/change/gel_test": "--gel-test",
}


class _Told:
    """How far the run is, whenever that has changed, but not so often that a log would be full of it."""

    def __init__(self, tell: Callable[[str], None]) -> None:
        self._tell, self._said, self._next_s = tell, "", 0.0

    def __call__(self, line: str, *, at_once: bool = False) -> None:
        if line != self._said and (at_once or time.monotonic() >= self._next_s):
            self._tell(line)
            self._said, self._next_s = line, time.monotonic() + _TELL_EVERY_S


def _progress(store: Database, run_id: str) -> str:
    """'37 of 128 plans judged', and of the sheets that are made anew."""
    with store.read() as connection:
        items, sheets = counted(connection, run_id), counted_again(connection, run_id)
    asked, made = sum(items.values()), sum(sheets.values())
    line = f"{asked - items.get('open', 0)} of {asked} plans judged"
    waiting = sheets.get(JobState.QUEUED, 0) + sheets.get(JobState.RUNNING, 0)
    return f"{line}, {made - waiting} of {made} planned again" if made else line


def _is_done(store: Database, run_id: str) -> bool:
    with store.read() as connection:
        run = find_run(connection, run_id)
        return run is not None and run.state not in {"queued", "running"} and not is_planning_again(connection, run_id)


def _report(store: Database, run_id: str) -> RevalidationReport:
    with store.read() as connection:
        run = find_run(connection, run_id)
        if run is None:
            fault = Fault(path="--continue", found=run_id, expected="the id of a run in this store")
            raise InputError([fault])
        return report_of(connection, run)
