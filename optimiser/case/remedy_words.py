"""Changes that would do, a line each, on the shell and on the sheet of a plan that is refused."""

from __future__ import annotations

from optimiser.case.plan_document import PlanDocument
from optimiser.case.printed_minutes import limit_min, wet_out_min
from optimiser.case.remedies_document import Remedy

_MOST_PATHS = 2


def remedy_lines(plan: PlanDocument) -> list[str]:
    """What holds in the slow case first, then least effort, then what was tried; none where nothing was."""
    if plan.remedies is None:
        return []
    return [*map(_line, sorted(plan.remedies.found, key=lambda one: not one.holds_when_slow)), plan.remedies.statement]


def _line(one: Remedy) -> str:
    """Only what holds in the slow case too is called verified: the word is read as a promise."""
    limit, slowest = _minutes(limit_min(one.gel_limit_s)), one.slowest_wet_out_s
    said = "Would do, verified"
    if not one.holds_when_slow:
        late = "not all wet" if slowest is None else f"{wet_out_min(slowest):.1f} > {limit}"
        said = f"In time only as expected, NOT ENOUGH IN THE SLOW CASE ({late})"
    wet_out = _minutes(wet_out_min(one.wet_out_s))
    return f"{said}: {one.change}{_at(one)}: wet-out {wet_out}, limit {limit} ({one.sequence})"


def _at(one: Remedy) -> str:
    """The fields of the case to change."""
    paths = [edit.path for edit in one.edits]
    if not paths:
        return ""
    more = f" and {len(paths) - _MOST_PATHS} more" if len(paths) > _MOST_PATHS else ""
    return f" [{', '.join(paths[:_MOST_PATHS])}{more}]"


def _minutes(time_min: float | None) -> str:
    return "not all wet" if time_min is None else f"{time_min:.1f} min"
