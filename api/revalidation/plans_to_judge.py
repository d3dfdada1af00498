"""Which stored plans a run looks at, and how that is said."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from sqlalchemy import Select

from api.store.plans import PlanFilter, chosen_plans
from api.store.tables import plans

_WORDS = {
    "layout_id": "from layout",
    "resin": "for resin",
    "batch": "for batch",
    "name": "for the part",
    "verdict": "with verdict",
}


def to_judge(chosen: PlanFilter, change: str) -> PlanFilter:
    """What a run after this change looks at of the plans chosen. A plan that was withdrawn is not judged again.

    A change of resin is one for plans made for the resin of that name, unless the filter names another.
    """
    in_use = replace(chosen, withdrawn=False)
    resin = json.loads(change).get("resin")
    return in_use if chosen.resin is not None or resin is None else replace(in_use, resin=resin["name"])


def judged(query: Select[Any], chosen: PlanFilter) -> Select[Any]:
    """The query over plans, narrowed to those that can be judged: a plan that was never verified has no sheet."""
    return chosen_plans(query.where(plans.c.verdict == "verified"), chosen)


def looked_at(chosen: Mapping[str, Any]) -> str:
    """The filter of a run in a sentence."""
    parts = [f"{_WORDS.get(field, field)} {_said(value)}" for field, value in chosen.items() if value]
    return f"Plans made {', '.join(parts)}." if parts else "All verified plans of the store."


def _said(value: object) -> str:
    return " or ".join(map(str, value)) if isinstance(value, list | tuple) else str(value)
