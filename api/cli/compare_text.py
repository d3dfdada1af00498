"""A comparison of plans in plain text: what the crew does otherwise first, then times, amounts, what they hold for."""

from __future__ import annotations

from collections.abc import Iterator

from optimiser.case.plan_document import Verdict
from optimiser.comparison.comparison_document import (
    Amount,
    Comparison,
    PlanSide,
    StepDifference,
    StepSide,
    Words,
)
from optimiser.units import min_from_s


def comparison_text(found: Comparison) -> str:
    return "\n".join(_lines(found))


def _lines(found: Comparison) -> Iterator[str]:
    yield _side("A", found.plan_a)
    yield _side("B", found.plan_b)
    yield "The case is the same." if found.same_case else "The cases differ."
    yield from _block("Steps", [_step(one) for one in found.steps])
    yield from _shifts(found)
    yield from _block("Times", [_row(one) for one in found.times])
    yield from _block("Resin", [_row(one) for one in found.amounts])
    yield from _block("Holds for", [_row(one) for one in found.conditions])
    yield from _block("Lines and vents", [_row(one) for one in found.lines])
    yield from _block("Laminates", [_row(one) for one in found.laminates])
    yield from found.notes


def _side(name: str, side: PlanSide) -> str:
    verdict = "verified" if side.verdict is Verdict.VERIFIED else "DO NOT INFUSE"
    why = "".join(f"; not met: {reason.requirement}" for reason in side.reasons)
    return f"{name}: {side.case_name}, sheet {side.sheet}, case {side.case_digest[:8]}: {verdict}{why}"


def _block(head: str, rows: list[str]) -> Iterator[str]:
    if not rows:
        yield f"{head}: no difference."
        return
    yield f"{head}:"
    yield from (f"  {row}" for row in rows)


def _step(one: StepDifference) -> str:
    what = f"{one.action} {one.label}"
    if one.a is None and one.b is not None:
        return f"{what}: ADDED as step {one.b.order}, {_when(one.b)}"
    if one.b is None and one.a is not None:
        return f"{what}: GONE, it was step {one.a.order}, {_when(one.a)}"
    said = []
    if one.a is not None and one.b is not None:
        if "moved" in one.changes:
            said.append(f"MOVED from step {one.a.order} to step {one.b.order}")
        if "other_trigger" in one.changes:
            said.append(f"OTHER TRIGGER, it was: {one.a.trigger}; it is: {one.b.trigger}")
        said.append(f"expected at min {_min(one.a.expected_at_s)}, then {_min(one.b.expected_at_s)}")
    return f"{what}: {'; '.join(said)}"


def _when(side: StepSide) -> str:
    return f"{side.trigger} (expected at min {_min(side.expected_at_s)})"


def _shifts(found: Comparison) -> Iterator[str]:
    """Of the steps that both have, as one line: each of them stands in the JSON."""
    later = [one.b_s - one.a_s for one in found.step_times if one.a_s is not None and one.b_s is not None]
    if later:
        yield f"Steps that both have come {_shift(min(later))} to {_shift(max(later))} in B."


def _shift(later_s: float) -> str:
    minutes = round(min_from_s(later_s), 1)
    return f"{abs(minutes):.1f} min {'earlier' if minutes < 0 else 'later'}"


def _row(one: Amount | Words) -> str:
    if isinstance(one, Words):
        return f"{one.what}: {one.a or 'none'} -> {one.b or 'none'}"
    unit = f" {one.unit}" if one.unit else ""
    change = "" if one.a is None or one.b is None else f" ({one.b - one.a:+.6g})"
    return f"{one.what}: {_number(one.a, one.unit)} -> {_number(one.b, one.unit)}{unit}{change}"


def _number(value: float | None, unit: str) -> str:
    if value is None:
        return "none"
    return f"{value:.1f}" if unit == "min" else f"{value:.10g}"


def _min(time_s: float | None) -> str:
    return "-" if time_s is None else f"{min_from_s(time_s):.1f}"
