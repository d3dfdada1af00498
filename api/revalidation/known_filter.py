"""A filter that fits no plan would judge nothing, and nobody would notice for nights."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict

from sqlalchemy import ColumnElement, Connection, select

from api.revalidation.plans_to_judge import judged, looked_at
from api.store.documents import DocumentKind, find_revision
from api.store.plans import PlanFilter
from api.store.tables import plans
from optimiser.case.unknown_name import unknown_name
from optimiser.errors import Fault


def faults_of_filter(connection: Connection, chosen: PlanFilter) -> list[Fault]:
    """Why a run over these plans would judge none, with pointers into the filter; empty where it would judge some.

    Empty too where the store has no plan of which a run could judge anything: then nothing is wrong with the filter. A
    layout must be one that the store holds in any case.
    """
    faults = [*_unknown_layout(connection, chosen)]
    if not _fits(connection, PlanFilter(withdrawn=chosen.withdrawn)):
        return faults
    faults += [*_unknown_resin_or_batch(connection, chosen), *_unknown_part(connection, chosen)]
    if not faults and not _fits(connection, chosen):
        expected, remedy = "a filter that a verified plan in use fits", "leave one of its fields out"
        faults.append(Fault(path="", found=looked_at(asdict(chosen)), expected=expected, remedy=remedy))
    return faults


def _unknown_layout(connection: Connection, chosen: PlanFilter) -> Iterator[Fault]:
    layout_id = chosen.layout_id
    if layout_id is not None and find_revision(connection, DocumentKind.LAYOUT, layout_id) is None:
        expected, remedy = "a layout that the store holds", "GET /v1/layouts lists them"
        yield Fault(path="/layout_id", found=layout_id, expected=expected, remedy=remedy)


def _unknown_resin_or_batch(connection: Connection, chosen: PlanFilter) -> Iterator[Fault]:
    """A batch is looked for among the plans for the resin of the filter, where it names a known one."""
    resins = _known(connection, chosen, plans.c.resin)
    if chosen.resin is not None and chosen.resin not in resins:
        yield unknown_name("/resin", chosen.resin, resins, noun="resin of stored plans")
    of_resin = [plans.c.resin == chosen.resin] if chosen.resin in resins else []
    batches = _known(connection, chosen, plans.c.batch, *of_resin)
    if chosen.batch is not None and chosen.batch not in batches:
        yield unknown_name("/batch", chosen.batch, batches, noun="batch of stored plans")


def _unknown_part(connection: Connection, chosen: PlanFilter) -> Iterator[Fault]:
    if chosen.name is None:
        return
    names = _known(connection, chosen, plans.c.name)
    if chosen.name not in names:
        yield unknown_name("/name", chosen.name, names, noun="part of stored plans")


def _known(
    connection: Connection, chosen: PlanFilter, column: ColumnElement[str], *conditions: ColumnElement[bool]
) -> list[str]:
    query = judged(select(column).where(column.is_not(None), *conditions), PlanFilter(withdrawn=chosen.withdrawn))
    return list(connection.execute(query.distinct()).scalars())


def _fits(connection: Connection, chosen: PlanFilter) -> bool:
    return connection.execute(judged(select(plans.c.id), chosen).limit(1)).one_or_none() is not None
