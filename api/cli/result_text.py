"""A plan in a few lines of plain text."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from optimiser.case.advice_words import advice_lines
from optimiser.case.conflict_words import conflict_lines
from optimiser.case.gel_clock_words import gel_clock_lines
from optimiser.case.plan_document import PlanDocument, Reason, Verdict
from optimiser.case.printed_minutes import limit_min, margin_min, wet_out_min
from optimiser.case.proof_document import ProofStatus
from optimiser.case.remedy_words import remedy_lines
from optimiser.case.robustness_document import RobustnessResult
from optimiser.case.tool_side import tool_side_lines
from optimiser.case.varied_words import failures_go_with
from optimiser.units import min_from_s

_MOST_LOCKS = 5
_MOST_MISTAKES = 3
_BY_CHANCE_PERCENT = 5.0


def result_text(plan: PlanDocument, written: list[Path]) -> str:
    return "\n".join(_lines(plan, written))


def _lines(plan: PlanDocument, written: list[Path]) -> Iterator[str]:
    yield f"{plan.case_name}: {_headline(plan)}"
    wet_out, limit = _minutes(wet_out_min(plan.wet_out_s)), _minutes(limit_min(plan.gel_limit_s))
    stays_dry = plan.wet_out_s is not None and any(one.fails for one in plan.locked)
    if stays_dry:
        yield f"Wet-out {wet_out} of all but what stays dry, limit {limit}."
    else:
        yield f"Wet-out {wet_out}, limit {limit}{_margin(plan)}."
    yield from gel_clock_lines(plan)
    yield from tool_side_lines(plan)
    yield from (_reason(reason) for reason in plan.reasons)
    yield from _locks(plan)
    yield from conflict_lines(plan)
    yield from remedy_lines(plan)
    if plan.verdict is Verdict.VERIFIED:
        order = [f"{step.label} ({step.action})" if step.action != "open" else step.label for step in plan.steps]
        yield f"Taps in this order: {', '.join(order)}"
    if plan.robustness is not None:
        yield from _variations(plan.robustness)
    elif plan.verdict is Verdict.VERIFIED:
        chosen = plan.proof.status is not ProofStatus.CHECKED_ONLY
        so = ", so no other order was looked at for staying clean more often" if chosen else ""
        yield f"Variations: none played{so} (--scenarios 100)"
    yield from _mistakes(plan)
    yield from (f"Compare: {sentence}" for sentence in plan.proof.usual_rules)
    yield from advice_lines(plan.advice)
    yield from (f"Warning: {warning}" for warning in plan.warnings)
    yield from (f"Wrote {path}" for path in written)


def _variations(found: RobustnessResult) -> Iterator[str]:
    """What was counted, where air was locked most often, and what failures go with beyond chance."""
    yield f"Variations: {found.statement}"
    for zone in found.locked_zones[:_MOST_LOCKS]:
        yield f"Locked in {zone.variations} of {found.variations} variations: zone {zone.zone}"
    for broken in found.broken_rules or ():
        yield f"Out of order in {broken.variations} of {found.variations} variations: it {broken.rule}"
    for one in found.drivers:
        if one.by_chance_percent < _BY_CHANCE_PERCENT:
            yield f"Failures go with: {failures_go_with(one)}"


def _locks(plan: PlanDocument) -> Iterator[str]:
    """What would be cut off from its vent, the largest first."""
    locked = sorted((one for one in plan.locked if one.fails), key=lambda one: -one.pore_litres)
    for one in locked[:_MOST_LOCKS]:
        closed = " and ".join(one.closed_by) or "resin"
        yield (
            f"Locked at minute {min_from_s(one.at_s):.1f}: {one.pore_litres:.2g} litres, {one.area_cm2:.0f} cm2, "
            f"{one.near}, closed by {closed}"
        )
    if len(locked) > _MOST_LOCKS:
        yield f"... and {len(locked) - _MOST_LOCKS} more places, all in plan.json"


def _mistakes(plan: PlanDocument) -> Iterator[str]:
    """The steps where a single mistake locks air, leaves dry or gels: as many as fit, the most air first."""
    results = [] if plan.mistakes is None else plan.mistakes.results
    bad = [one for one in results if one.worst_of_step and not one.nothing_flows and not (one.clean and one.in_time)]
    bad.sort(key=lambda one: (-one.locked_litres, -one.dry_m2, one.step))
    yield from (f"One mistake: if {one.happens}: {one.does}" for one in bad[:_MOST_MISTAKES])
    if len(bad) > _MOST_MISTAKES:
        yield f"... and {len(bad) - _MOST_MISTAKES} more steps at which one mistake spoils the part, on the run sheet"


def _headline(plan: PlanDocument) -> str:
    checked = plan.proof.status is ProofStatus.CHECKED_ONLY
    if plan.verdict is Verdict.VERIFIED:
        return "this sequence is verified" if checked else "verified"
    return "DO NOT INFUSE with this sequence" if checked else "DO NOT INFUSE: no admissible sequence"


def _minutes(time_min: float | None) -> str:
    return "not reached" if time_min is None else f"{time_min:.1f} min"


def _margin(plan: PlanDocument) -> str:
    margin = margin_min(plan.gel_limit_s, plan.wet_out_s)
    if margin is None:
        return ""
    return f", {_minutes(-margin)} too late" if margin < 0 else f", {_minutes(margin)} to spare"


def _reason(reason: Reason) -> str:
    where = f" ({reason.where})" if reason.where else ""
    return f"Not met: {reason.requirement}{where}: {reason.by_how_much}. Try: {reason.remedy}"
