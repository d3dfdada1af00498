"""A filter that names what no plan has would judge nothing, and nobody would notice for nights."""

from __future__ import annotations

from collections.abc import Iterator

from sqlalchemy import ColumnElement, Connection, select

from api.store.documents import DocumentKind, find_revision
from api.store.plans import PlanFilter
from api.store.tables import plans
from optimiser.case.unknown_name import unknown_name
from optimiser.errors import Fault


def unknown_in_filter(connection: Connection, chosen: PlanFilter) -> Iterator[Fault]:
    """A fault for a layout that the store does not hold, and for a resin or a batch that no stored plan is for.

    A batch is looked for among the plans for the resin of the filter, where it names a known one.
    """
    layout_id = chosen.layout_id
    if layout_id is not None and find_revision(connection, DocumentKind.LAYOUT, layout_id) is None:
        expected, remedy = "a layout that the store holds", "GET /v1/layouts lists them"
        yield Fault(path="/layout_id", found=layout_id, expected=expected, remedy=remedy)
    of_resin: list[ColumnElement[bool]] = []
    if chosen.resin is not None:
        if _is_there(connection, plans.c.resin == chosen.resin):
            of_resin.append(plans.c.resin == chosen.resin)
        else:
            known = connection.execute(select(plans.c.resin).where(plans.c.resin.is_not(None)).distinct())
            yield unknown_name("/resin", chosen.resin, list(known.scalars()), noun="resin")
    if chosen.batch is not None and not _is_there(connection, plans.c.batch == chosen.batch, *of_resin):
        known = connection.execute(select(plans.c.batch).where(plans.c.batch.is_not(None), *of_resin).distinct())
        yield unknown_name("/batch", chosen.batch, list(known.scalars()), noun="batch")


def _is_there(connection: Connection, *conditions: ColumnElement[bool]) -> bool:
    return connection.execute(select(plans.c.id).where(*conditions).limit(1)).one_or_none() is not None
