"""Is there any plan to judge? A run that looks at none must not look like a good night."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, select

from api.store.tables import plans
from api.store.withdrawals import is_withdrawn
from optimiser.case.unknown_name import unknown_name
from optimiser.errors import InputError

_WORDS = {
    "layout_id": "from layout",
    "resin": "for resin",
    "batch": "for batch",
    "name": "for the part",
    "verdict": "with verdict",
}


class NoPlansError(Exception):
    """The store has no verified plan at all; the message says so."""


def some_to_judge(connection: Connection, resin: str | None, *, named_by: str) -> None:
    """NoPlansError: the store has no verified plan in use; InputError: none for the resin that `named_by` names."""
    query = select(plans.c.resin).where(plans.c.verdict == "verified", ~is_withdrawn()).distinct()
    resins = [name for (name,) in connection.execute(query)]
    if not resins:
        raise NoPlansError("No stored plan was looked at: the store has no verified plan that is in use.")
    known = [name for name in resins if name is not None]
    if resin is not None and resin not in known:
        raise InputError([unknown_name(named_by, resin, known, noun="resin of stored plans")])


def looked_at(chosen: Mapping[str, Any]) -> str:
    """The filter of a run in a sentence."""
    parts = [f"{_WORDS.get(field, field)} {_said(value)}" for field, value in chosen.items() if value]
    return f"Plans made {', '.join(parts)}." if parts else "All verified plans of the store."


def _said(value: object) -> str:
    return " or ".join(map(str, value)) if isinstance(value, list | tuple) else str(value)
