"""A plan in a few lines of plain text."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from optimiser.case.plan_document import PlanDocument, ProofStatus, Reason, Verdict
from optimiser.units import min_from_s


def result_text(plan: PlanDocument, written: list[Path]) -> str:
    return "\n".join(_lines(plan, written))


def _lines(plan: PlanDocument, written: list[Path]) -> Iterator[str]:
    yield f"{plan.case_name}: {_headline(plan)}"
    yield f"Wet-out {_minutes(plan.wet_out_s)}, limit {_minutes(plan.gel_limit_s)}{_margin(plan)}."
    yield from (_reason(reason) for reason in plan.reasons)
    order = [f"{step.label} ({step.action})" if step.action != "open" else step.label for step in plan.steps]
    yield f"Taps in this order: {', '.join(order) if order else 'none'}"
    yield from (f"Compare: {sentence}" for sentence in plan.proof.usual_rules)
    yield from (f"Warning: {warning}" for warning in plan.warnings)
    yield from (f"Wrote {path}" for path in written)


def _headline(plan: PlanDocument) -> str:
    checked = plan.proof.status is ProofStatus.CHECKED_ONLY
    if plan.verdict is Verdict.VERIFIED:
        return "this sequence is verified" if checked else "verified"
    return "DO NOT SHOOT with this sequence" if checked else "DO NOT SHOOT: no admissible sequence"


def _minutes(time_s: float | None) -> str:
    return "not reached" if time_s is None else f"{min_from_s(time_s):.1f} min"


def _margin(plan: PlanDocument) -> str:
    if plan.gel_margin_s is None:
        return ""
    if plan.gel_margin_s < 0:
        return f", {_minutes(-plan.gel_margin_s)} too late"
    return f", {_minutes(plan.gel_margin_s)} to spare"


def _reason(reason: Reason) -> str:
    where = f" ({reason.where})" if reason.where else ""
    return f"Not met: {reason.requirement}{where}: {reason.by_how_much}. Try: {reason.remedy}"
