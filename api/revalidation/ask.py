"""From what is asked to a run that may begin."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from api.jobs.compose import kept_revision
from api.readers.pool import ReaderPool
from api.readers.work import change_of
from api.revalidation.known_filter import unknown_in_filter
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


def refuse_unknown_plans(store: Database, chosen: PlanFilter) -> None:
    """InputError with pointers under /plans for what no plan of the store has."""
    with store.read() as connection:
        faults = list(unknown_in_filter(connection, chosen))
    if faults:
        raise InputError(replace(fault, path=f"/plans{fault.path}") for fault in faults)
