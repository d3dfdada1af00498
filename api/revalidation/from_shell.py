"""A run asked for and worked on by one process, as the shell does it."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from api.audit import note
from api.jobs.compose import kept_revision
from api.jobs.supervisor import Supervisor
from api.killed_workers import expect_killed_workers
from api.logs import log_to_stderr
from api.readers.work import change_of
from api.reports.report_document import RevalidationReport
from api.revalidation.known_filter import unknown_in_filter
from api.revalidation.report import is_planning_again, report_of
from api.revalidation.runs import NewRun, PlanAgain, begin_run, find_run
from api.settings import Settings
from api.store.database import Database
from api.store.documents import DocumentKind
from api.store.open import ready_store
from api.store.plans import PlanFilter
from optimiser.errors import Fault, InputError

_LOOK_EVERY_S = 0.2


@dataclass(frozen=True, kw_only=True)
class Asked:
    written: Mapping[str, Any]
    """The change as a `ChangeDocument` has it, without the resin."""
    resin_id: str | None
    batch: str | None
    planned_for: str | None
    """Name of the resin that the plans were made for; None: all."""
    plan_again: str
    run_id: str | None
    """A run to go on with; then nothing else is looked at."""


def run_to_its_end(settings: Settings, asked: Asked, *, tell: Callable[[str], None]) -> RevalidationReport:
    """Begin the run, or go on with one, and work until it is done. Broken off, it may be gone on with."""
    log_to_stderr("warning")
    expect_killed_workers()
    with ready_store(settings, may_begin=False) as store:
        run_id = _begun(store, asked) if asked.run_id is None else asked.run_id
        report = _report(store, run_id)
        tell(f"Run {run_id}: {report.asked} plans")
        supervisor = Supervisor(store, settings)
        supervisor.start()
        try:
            while report.state == "running":
                time.sleep(_LOOK_EVERY_S)
                if _is_done(store, run_id):
                    report = _report(store, run_id)
        finally:
            supervisor.stop()
        return report


def _begun(store: Database, asked: Asked) -> str:
    source = None
    if asked.resin_id is not None:
        with store.read() as connection:
            source = bytes(kept_revision(connection, DocumentKind.RESIN, asked.resin_id, None).source)
    change, said = change_of(asked.written, resin=source, batch=asked.batch)
    chosen = PlanFilter(resin=asked.planned_for)
    with store.read() as connection:
        faults = list(unknown_in_filter(connection, chosen))
    if faults:
        raise InputError(replace(fault, path="--planned-for") for fault in faults)
    new = NewRun(
        change=change,
        said=tuple(said),
        chosen=chosen,
        plan_again=PlanAgain(asked.plan_again),
    )
    with store.write() as connection:
        run_id = begin_run(connection, new, by=None)
        note(connection, key_id=None, action="revalidation.ask (command line)", subject=run_id)
        return run_id


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
