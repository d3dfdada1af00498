"""Plan B against plan A."""

from __future__ import annotations

import re

from optimiser.case.plan_document import PlanDocument
from optimiser.comparison.comparison_document import Comparison, PlanSide, Words
from optimiser.comparison.mistakes import due_together, mistake_differences
from optimiser.comparison.numbers import amounts, laminates, times
from optimiser.comparison.steps import step_differences, step_times
from optimiser.comparison.variations import variations
from optimiser.comparison.what_holds import conditions, lines
from optimiser.run_sheet.identity import sheet_mark

_UNSEEN = (
    "The cases differ in something that a plan does not carry, for example a permeability or a height: compare the "
    "cases themselves."
)
_PERHAPS_UNSEEN = (
    "The cases may also differ in something that a plan does not carry, for example a permeability or a height: "
    "compare the cases themselves."
)
_NOT_OF_THE_PLAN = {"case_digest", "tapcall_version", "solver_version", "effort"}
_FIGURE = re.compile(r"\d+(\.\d+)?")
_VERSIONS = "The plans were made by different versions of the program: part of the differences may be its own."


def compare_plans(a: PlanDocument, b: PlanDocument) -> Comparison:
    """Only what differs; nothing is computed anew."""
    same_case = a.case_digest == b.case_digest
    holds_for, layout, areas = conditions(a, b), lines(a, b), laminates(a, b)
    notes = []
    if not (same_case or holds_for or layout or areas or a.rules != b.rules):
        alike = a.model_dump(exclude=_NOT_OF_THE_PLAN) == b.model_dump(exclude=_NOT_OF_THE_PLAN)
        notes.append(_UNSEEN if alike else _PERHAPS_UNSEEN)
    if a.tapcall_version != b.tapcall_version:
        notes.append(_VERSIONS)
    return Comparison(
        plan_a=_side(a),
        plan_b=_side(b),
        same_case=same_case,
        steps=step_differences(a, b),
        step_times=step_times(a, b),
        due_together=due_together(a, b),
        mistakes=mistake_differences(a, b),
        times=times(a, b),
        amounts=amounts(a, b),
        variations=variations(a, b),
        rules=_only_one_has("rule", a.rules or [], b.rules or []),
        conditions=holds_for,
        lines=layout,
        laminates=areas,
        warnings=_with_other_figures("warning", a.warnings, b.warnings),
        notes=notes,
    )


def _only_one_has(what: str, a: list[str], b: list[str]) -> list[Words]:
    """What is new first."""
    new = [Words(what=what, a=None, b=one) for one in b if one not in a]
    return [*new, *(Words(what=what, a=one, b=None) for one in a if one not in b)]


def _with_other_figures(what: str, a: list[str], b: list[str]) -> list[Words]:
    """As above; one that says the same of both plans with other figures is one that changed, and comes first."""
    gone = [one for one in a if one not in b]
    changed, new = [], []
    for said in (one for one in b if one not in a):
        before = next((one for one in gone if _without_figures(one) == _without_figures(said)), None)
        if before is None:
            new.append(Words(what=what, a=None, b=said))
            continue
        gone.remove(before)
        changed.append(Words(what=what, a=before, b=said))
    return [*changed, *new, *(Words(what=what, a=one, b=None) for one in gone)]


def _without_figures(sentence: str) -> str:
    return _FIGURE.sub("0", sentence)


def _side(plan: PlanDocument) -> PlanSide:
    return PlanSide(
        sheet=sheet_mark(plan),
        case_name=plan.case_name,
        case_digest=plan.case_digest,
        tapcall_version=plan.tapcall_version,
        verdict=plan.verdict,
        reasons=list(plan.reasons),
        mistakes_played=plan.mistakes is not None,
        variations_played=None if plan.robustness is None else plan.robustness.variations,
    )
