"""A comparison of plans in plain text: what the crew does otherwise first, then times, amounts, what they hold for."""

from __future__ import annotations

from collections.abc import Iterator

from optimiser.case.plan_document import Verdict
from optimiser.comparison.comparison_document import (
    Amount,
    Comparison,
    MistakeSide,
    PlanSide,
    StepDifference,
    StepSide,
    Words,
)
from optimiser.comparison.numbers import GAP
from optimiser.units import min_from_s


def comparison_text(found: Comparison) -> str:
    return "\n".join(_lines(found))


def _lines(found: Comparison) -> Iterator[str]:
    yield _side("A", found.plan_a)
    yield _side("B", found.plan_b)
    yield "The case is the same." if found.same_case else "The cases differ."
    yield from _to_do(found)
    yield from _block("Steps", [_step(one) for one in found.steps])
    yield from _shifts(found)
    yield from _mistakes(found)
    yield from _block("Times", [_row(one) for one in found.times])
    yield from _block("Resin", [_row(one) for one in found.amounts])
    if found.plan_a.variations_played or found.plan_b.variations_played:
        yield from _block("Variations of the day", [_row(one) for one in found.variations])
    yield from _block("Rules of the shop", [_added_or_gone(one) for one in found.rules])
    yield from _block("Holds for", [_row(one) for one in found.conditions])
    yield from _block("Lines and vents", [_row(one) for one in found.lines])
    yield from _block("Laminates", [_row(one) for one in found.laminates])
    yield from _block("Warnings", [_added_or_gone(one) for one in found.warnings])
    yield from found.notes


def _added_or_gone(one: Words) -> str:
    if one.a is not None and one.b is not None:
        return f"CHANGED: {one.a} -> {one.b}"
    return f"ADDED: {one.b}" if one.a is None else f"GONE: {one.a}"


def _to_do(found: Comparison) -> Iterator[str]:
    """What follows for whoever has the sheet of plan A in hand."""
    a, b = found.plan_a, found.plan_b
    if a.sheet == b.sheet:
        return
    if b.verdict is not Verdict.VERIFIED:
        yield f"To do: do not infuse by sheet {b.sheet}: it has no orders."
        return
    count = len(found.steps)
    steps = f"{count} step{'s' if count > 1 else ''} of the crew differ{'' if count > 1 else 's'}"
    same = "the crew's steps are the same, what is printed beside them is not"
    yield f"To do, where B is to be shot: take sheet {a.sheet} away and hand out {b.sheet}; {steps if count else same}."


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
            said.append(_moved(one.a, one.b))
        if "other_trigger" in one.changes:
            said.append(f"OTHER TRIGGER, it was: {one.a.trigger}; it is: {one.b.trigger}")
        if "other_backup" in one.changes:
            said.append(f"OTHER BACKUP, it was: {one.a.backup or 'none'}; it is: {one.b.backup or 'none'}")
        if "other_manifold" in one.changes:
            said.append(f"OTHER MANIFOLD, it was: {one.a.turned_at or 'none'}; it is: {one.b.turned_at or 'none'}")
        if "other_person" in one.changes:
            said.append(f"OTHER PERSON, it was: {one.a.person or 'none'}; it is: {one.b.person or 'none'}")
        said.append(f"expected at min {_min(one.a.expected_at_s)}, then {_min(one.b.expected_at_s)}")
    return f"{what}: {'; '.join(said)}"


def _moved(a: StepSide, b: StepSide) -> str:
    if a.order != b.order:
        return f"MOVED from step {a.order} to step {b.order}"
    return f"MOVED, step {a.order} in both: it came {_after(a)}, it comes {_after(b)}"


def _after(side: StepSide) -> str:
    return "first" if side.after is None else f"after {side.after}"


def _when(side: StepSide) -> str:
    backup = "" if side.backup is None else f", {side.backup}"
    at = "" if side.turned_at is None else f", at {side.turned_at}"
    by = "" if side.person is None else f", by person {side.person}"
    return f"{side.trigger}{backup}{at}{by} (expected at min {_min(side.expected_at_s)})"


def _shifts(found: Comparison) -> Iterator[str]:
    """Of the steps that both have, as one line: each of them stands in the JSON."""
    later = [one.b_s - one.a_s for one in found.step_times if one.a_s is not None and one.b_s is not None]
    if later:
        yield f"Steps that both have come {_shift(min(later))} to {_shift(max(later))} in B."
    begin, end = ([y - x for x, y in _ends(found, k)] for k in (0, 1))
    if begin and end and any(round(min_from_s(each), 1) for each in (*begin, *end)):
        yield (
            f"The range of their expected minutes begins {_shift(min(begin))} to {_shift(max(begin))} and ends "
            f"{_shift(min(end))} to {_shift(max(end))} in B."
        )


def _ends(found: Comparison, which: int) -> Iterator[tuple[float, float]]:
    """Of both ranges of each step, where both are known: the beginnings (0) or the ends (1)."""
    for one in found.step_times:
        a_s, b_s = one.a_range_s[which], one.b_range_s[which]
        if a_s is not None and b_s is not None:
            yield a_s, b_s


def _mistakes(found: Comparison) -> Iterator[str]:
    """Steps that come close together, then the worst mistake of each step; nothing where none were played."""
    played = [name for name, side in (("A", found.plan_a), ("B", found.plan_b)) if side.mistakes_played]
    if len(played) == 1:
        yield f"Mistakes: played for {played[0]} alone."
    if len(played) == 2:
        yield from _block("Due together", [_row(one) for one in found.due_together])
        yield from _block("Worst mistakes", [*_worst(found)])


def _worst(found: Comparison) -> Iterator[str]:
    """Where one of the two spoils the part; the others are counted."""
    bad = [one for one in found.mistakes if one.b.spoils or (one.a is not None and one.a.spoils)]
    for one in bad:
        before = "none" if one.a is None else _mistake(one.a)
        yield f"{one.action} {one.label}: {before} -> {_mistake(one.b)}"
    if harmless := len(found.mistakes) - len(bad):
        yield f"{harmless}{' more' if bad else ''} that spoil{'s' if harmless == 1 else ''} nothing"


def _mistake(side: MistakeSide) -> str:
    how = {"skipped": "forgotten", "late": "late", "swapped_with_next": f"mixed up with {side.other_label}"}
    return f"if {how[side.mistake]}, {side.does}"


def _shift(later_s: float) -> str:
    minutes = round(min_from_s(later_s), 1)
    return f"{abs(minutes):.1f} min {'earlier' if minutes < 0 else 'later'}"


def _row(one: Amount | Words) -> str:
    if isinstance(one, Words):
        return f"{one.what}: {one.a or 'none'} -> {one.b or 'none'}"
    if one.a is None or one.b is None:
        return f"{one.what}: {_alone(one, one.a)} -> {_alone(one, one.b)}"
    change = f" ({one.b - one.a:+.6g})"
    return f"{one.what}: {_number(one.a, one.unit)} -> {_number(one.b, one.unit)}{_unit(one)}{change}"


def _alone(one: Amount, value: float | None) -> str:
    """With its unit, as the other has none; what is not there in the word that says why."""
    if value is not None:
        return f"{_number(value, one.unit)}{_unit(one)}"
    return "never" if one.what.startswith("wet-out") else "not known" if one.what == GAP else "none"


def _unit(one: Amount) -> str:
    return f" {one.unit}" if one.unit else ""


def _number(value: float, unit: str) -> str:
    return f"{value:.1f}" if unit == "min" else f"{value:.10g}"


def _min(time_s: float | None) -> str:
    return "-" if time_s is None else f"{min_from_s(time_s):.1f}"
