"""From what is asked to a run that may begin."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from api.jobs.compose import kept_revision
from api.readers.pool import ReaderPool
from api.readers.work import change_of
from api.revalidation.known_filter import faults_of_filter
from api.revalidation.plans_to_judge import to_judge
from api.store.database import Database
from api.store.documents import DocumentKind
from api.store.plans import PlanFilter
from optimiser.errors import InputError


@dataclass(frozen=True, kw_only=True)
class ResinAsked:
    """A resin of the store; None for a revision or a batch: the newest, and the data sheet as it stands."""

    resin_id: str
    revision: int | None
    batch: str | None


def change_asked(
    store: Database, readers: ReaderPool, written: Mapping[str, Any], resin: ResinAsked | None
) -> tuple[str, list[str]]:
    """The change as it is kept, and in words; InputError with pointers under /change where it cannot be used."""
    try:
        if resin is None:
            return readers.run(change_of, written, resin=None, batch=None)
        with store.read() as connection:
            row = kept_revision(connection, DocumentKind.RESIN, resin.resin_id, resin.revision)
        return readers.run(change_of, written, resin=bytes(row.source), batch=resin.batch)
    except InputError as error:
        raise InputError(replace(fault, path=f"/change{fault.path}") for fault in error.faults) from error


def refuse_to_judge_nothing(store: Database, chosen: PlanFilter, change: str) -> None:
    """InputError with pointers under /plans, or to the resin of the change, where no plan that could be judged fits.

    A store without any such plan is no fault: the run is done at once, and its report says that it looked at none.
    """
    with store.read() as connection:
        faults = faults_of_filter(connection, to_judge(chosen, change))
    if faults:
        raise InputError(replace(fault, path=_place(fault.path, chosen)) for fault in faults)


def _place(path: str, chosen: PlanFilter) -> str:
    return "/change/resin_id" if path == "/resin" and chosen.resin is None else f"/plans{path}"
