"""Changes that would do, a line each, on the shell and on the sheet of a plan that is refused."""

from __future__ import annotations

from optimiser.case.plan_document import PlanDocument
from optimiser.case.printed_minutes import limit_min, wet_out_min
from optimiser.case.remedies_document import Remedy

_MOST_PATHS = 2


def remedy_lines(plan: PlanDocument) -> list[str]:
    """Least effort first, then what was tried; none where nothing was."""
    if plan.remedies is None:
        return []
    return [*map(_line, plan.remedies.found), plan.remedies.statement]


def _line(one: Remedy) -> str:
    slowest = one.slowest_wet_out_s
    tight = slowest is None or slowest > one.gel_limit_s
    late = f"; with the stated spread only {_minutes(wet_out_min(slowest))}" if tight else ""
    return (
        f"Would do, verified: {one.change}{_at(one)}: wet-out {_minutes(wet_out_min(one.wet_out_s))}, "
        f"limit {_minutes(limit_min(one.gel_limit_s))}{late} ({one.sequence})"
    )


def _at(one: Remedy) -> str:
    """The fields of the case to change."""
    paths = [edit.path for edit in one.edits]
    if not paths:
        return ""
    more = f" and {len(paths) - _MOST_PATHS} more" if len(paths) > _MOST_PATHS else ""
    return f" [{', '.join(paths[:_MOST_PATHS])}{more}]"


def _minutes(time_min: float | None) -> str:
    return "not all wet" if time_min is None else f"{time_min:.1f} min"
