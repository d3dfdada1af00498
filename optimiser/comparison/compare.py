"""Plan B against plan A."""

from __future__ import annotations

from optimiser.case.plan_document import PlanDocument
from optimiser.comparison.comparison_document import Comparison, PlanSide
from optimiser.comparison.numbers import amounts, laminates, times
from optimiser.comparison.steps import step_differences, step_times
from optimiser.comparison.what_holds import conditions, lines
from optimiser.run_sheet.identity import sheet_mark

_UNSEEN = (
    "The cases differ in something that a plan does not carry, for example a permeability or a height: compare the "
    "cases themselves."
)
_VERSIONS = "The plans were made by different versions of the program: part of the differences may be its own."


def compare_plans(a: PlanDocument, b: PlanDocument) -> Comparison:
    """Only what differs; nothing is computed anew."""
    same_case = a.case_digest == b.case_digest
    holds_for, layout, areas = conditions(a, b), lines(a, b), laminates(a, b)
    notes = [_UNSEEN] if not (same_case or holds_for or layout or areas) else []
    if a.tapcall_version != b.tapcall_version:
        notes.append(_VERSIONS)
    return Comparison(
        plan_a=_side(a),
        plan_b=_side(b),
        same_case=same_case,
        steps=step_differences(a, b),
        step_times=step_times(a, b),
        times=times(a, b),
        amounts=amounts(a, b),
        conditions=holds_for,
        lines=layout,
        laminates=areas,
        notes=notes,
    )


def _side(plan: PlanDocument) -> PlanSide:
    return PlanSide(
        sheet=sheet_mark(plan),
        case_name=plan.case_name,
        case_digest=plan.case_digest,
        tapcall_version=plan.tapcall_version,
        verdict=plan.verdict,
        reasons=list(plan.reasons),
    )
