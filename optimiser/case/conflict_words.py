"""Demands that cannot be kept together, by their fields in the case."""

from __future__ import annotations

from typing import Any

from optimiser.case.conflict_document import AskedField, ConflictResult
from optimiser.case.plan_document import PlanDocument
from optimiser.case.pointer import keys_of
from optimiser.case.read_case import Case
from optimiser.plan.result import PlanResult


def conflict_of_plan(case: Case, result: PlanResult) -> ConflictResult | None:
    """None where none was found."""
    found = result.conflict
    if found is None:
        return None
    data = case.document.model_dump(mode="json")
    return ConflictResult(
        statement=_statement(result.proof.zone_count, len(found.fields), smallest=found.smallest),
        fields=[AskedField(path=path, asks=asks_at(data, path)) for path in found.fields],
        smallest=found.smallest,
        left_out=[list(paths) for paths in found.left_out],
    )


def _statement(zones: int, count: int, *, smallest: bool) -> str:
    graph = f"On the zone graph of {zones} zones, with what the network taught it,"
    if count == 0:
        return f"{graph} no sequence is known even without what you ask for: it is the layout or the resin."
    alone = "this one is kept" if count == 1 else f"these {count} are kept together"
    size = "no smaller set does that" if smallest else "a smaller set may do that too, the solver's effort ended"
    return (
        f"{graph} no order is known by which {alone}; {size}. One that you know may be played as it stands "
        "(rules/own_sequence)."
    )


def asks_at(data: Any, path: str) -> str:
    """'use of 2-MID: forbidden', 'start: 1, 3'; data: the whole case."""
    name = ""
    keys = list(keys_of(path))
    for key in keys:
        data = data[int(key)] if isinstance(data, list) else data[key]
        name = str(data["name"]) if isinstance(data, dict) and "name" in data else name
    field = next(key for key in reversed(keys) if not key.isdigit())
    return f"{field.replace('_', ' ')}{f' of {name}' if name else ''}: {_said(data)}"


def _said(value: Any) -> str:
    if isinstance(value, list):
        return ", ".join(map(_said, value))
    if isinstance(value, dict):
        return ", ".join(f"{key.replace('_', ' ')} {_said(held)}" for key, held in value.items())
    return f"{value:g}" if isinstance(value, float) else str(value)


def conflict_lines(plan: PlanDocument) -> list[str]:
    """For the shell and the sheet of a plan that is refused; none where no conflict is known."""
    if plan.conflict is None:
        return []
    named = "; ".join(f"{one.asks} ({one.path})" for one in plan.conflict.fields)
    return [f"In conflict: {named}. {plan.conflict.statement}" if named else plan.conflict.statement]
