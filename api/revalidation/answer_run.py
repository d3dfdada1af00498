"""The work of a run: what can be looked up at once, what must be played on the network after that.

Each item is decided by itself and written as it is decided. A run that is broken off goes on with what is still open.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row

from api.engine.executor import run_all, task_executor
from api.jobs.attempt import Work, finish
from api.jobs.progress_notes import ProgressNotes
from api.revalidation.items import Judged, begin, open_items, settle, source_of_item
from api.revalidation.judge import looked_up, played
from api.revalidation.plan_again import plan_again
from api.revalidation.runs import run_of_job
from api.settings import Settings
from api.store.database import Database
from optimiser.case.change_document import ChangeDocument
from optimiser.filling.many_runs import usable_cores

_AT_ONCE = 500
"""Items of one transaction, where they are looked up."""
_LOOKED_UP_SHARE = 0.1
_WITHDRAWN = Judged(answer=None, decided_by=None, reason="it was withdrawn when its turn came: judge it again")
"""As a run says that is read after somebody took the withdrawal back."""


def answer_run(database: Database, settings: Settings, token: str, work: Work) -> None:
    """Decide every open item of the run, have planned again what is to be, and end the job."""
    with database.read() as connection:
        run = run_of_job(connection, work.job_id)
    change = ChangeDocument.model_validate_json(run.change)
    notes = ProgressNotes(database, token)
    notes("looking up", 0.0, None)
    to_play = _look_all_up(database, token, run.id, change)
    _Playing(database, settings, token, run).play(to_play, notes)
    notes("handing in what is planned again", 0.99, None)
    plan_again(database, token, run, change)
    finish(database, token, reason="all plans judged")


def _look_all_up(database: Database, token: str, run_id: str, change: ChangeDocument) -> list[int]:
    """Decide what the kept facts decide; the numbers of all others."""
    to_play: list[int] = []
    for items in _pages(database, run_id):
        settled: dict[int, Judged] = {}
        for item in items:
            if item.withdrawn:
                settled[item.number] = _WITHDRAWN
            elif item.facts is None:
                settled[item.number] = Judged(
                    answer=None, decided_by=None, reason="planned by a version that kept too little: plan it again"
                )
            elif (found := looked_up(item.facts, change)) is not None:
                settled[item.number] = found
        if settled:
            settle(database, token, run_id, settled)
        to_play += [item.number for item in items if item.number not in settled]
    return to_play


def _pages(database: Database, run_id: str) -> Iterator[list[Row[Any]]]:
    after = 0
    while True:
        with database.read() as connection:
            items = open_items(connection, run_id, after=after, most=_AT_ONCE)
        if not items:
            return
        yield items
        after = items[-1].number


@dataclass(frozen=True, kw_only=True)
class _ToPlay:
    """One item, small enough to be sent to any machine."""

    case: bytes
    facts: str
    change: str


class _Playing:
    """Items on the network, over all cores or over the engine."""

    def __init__(self, database: Database, settings: Settings, token: str, run: Row[Any]) -> None:
        self._database, self._settings, self._token, self._run = database, settings, token, run

    def play(self, numbers: list[int], notes: ProgressNotes) -> None:
        """Those during which a process ended before come last, one at a time: a culprit is then alone with itself."""
        if not numbers:
            return
        fresh, suspects = self._by_tries(numbers)
        done = 0
        with task_executor(self._settings.engine, usable_cores()) as executor:
            for group in (fresh, *([number] for number in suspects)):
                for index, outcome in run_all(executor, _play, self._begun(group)):
                    self._keep(group[index], outcome)
                    done += 1
                    share = _LOOKED_UP_SHARE + (0.98 - _LOOKED_UP_SHARE) * done / len(numbers)
                    notes(f"playing on the network, {done} of {len(numbers)}", share, None)

    def _by_tries(self, numbers: list[int]) -> tuple[list[int], list[int]]:
        """Never begun; begun before. One that was begun too often is set aside."""
        tries = {item.number: item.tries for items in _pages(self._database, self._run.id) for item in items}
        often = self._settings.most_attempts
        for number in numbers:
            if tries[number] >= often:
                self._set_aside(number, f"its computation was broken off {tries[number]} times")
        return (
            [number for number in numbers if tries[number] == 0],
            [number for number in numbers if 0 < tries[number] < often],
        )

    def _begun(self, numbers: list[int]) -> Iterator[_ToPlay]:
        """Each is noted as begun when it is drawn, just before it is handed in."""
        for number in numbers:
            begin(self._database, self._token, self._run.id, number)
            with self._database.read() as connection:
                item = source_of_item(connection, self._run.id, number)
            yield _ToPlay(case=bytes(item.source), facts=item.facts, change=self._run.change)

    def _keep(self, number: int, outcome: Judged | Exception) -> None:
        """At once: the next may take long, or end this process."""
        if isinstance(outcome, MemoryError):
            self._set_aside(number, f"its computation needed more than {self._settings.attempt_memory_mb} MB of memory")
        elif isinstance(outcome, Exception):
            self._set_aside(number, f"its computation ended in an error of ours: {outcome}")
        else:
            settle(self._database, self._token, self._run.id, {number: outcome})

    def _set_aside(self, number: int, reason: str) -> None:
        judged = Judged(answer=None, decided_by=None, reason=reason)
        settle(self._database, self._token, self._run.id, {number: judged})


def _play(item: _ToPlay) -> Judged:
    return played(item.case, item.facts, item.change)
