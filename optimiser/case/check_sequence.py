"""Whether a sequence can be played on a shot at all: known labels, taps that open before they close.

What it leads to, and the rules of the shop, are judged where sequences are verified.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Set

from optimiser.case.pointer import pointer
from optimiser.case.say_found import say_found
from optimiser.case.unknown_name import unknown_name
from optimiser.errors import Fault
from optimiser.part.part import LineUse
from optimiser.part.sequence import Action, Sequence, Step, Trigger, TriggerKind
from optimiser.part.shot import Shot


def check_sequence(sequence: Sequence, shot: Shot) -> tuple[Fault, ...]:
    """Every fault, with pointers into the sequence document; empty if the sequence can be played."""
    lines = {line.label: line.use for line in shot.part.feed_lines}
    vents = {vent.label: vent.on_line for vent in shot.part.vents}
    return tuple(faults_of_sequence(sequence, lines=lines, on_line=vents))


def faults_of_sequence(
    sequence: Sequence, *, lines: Mapping[str, LineUse], on_line: Mapping[str, str | None]
) -> Iterator[Fault]:
    """As `check_sequence`, from the labels alone. on_line: every vent, with the feed line that it draws through."""
    vents = on_line.keys()
    yield from _start_faults(sequence)
    yield from _short_cuts(sequence, on_line)
    yield from _state_faults(sequence, lines, vents)
    yield from _trigger_faults(sequence, lines.keys(), vents)


def _start_faults(sequence: Sequence) -> Iterator[Fault]:
    by_itself = (TriggerKind.START, TriggerKind.CLOCK)
    if not any(step.action is Action.OPEN and step.trigger.kind in by_itself for step in sequence.steps):
        yield Fault(
            path=pointer("steps"),
            found="no tap that opens at the start",
            expected="at least one line opened at the start",
            remedy="give the first line the trigger start: true",
        )


def _state_faults(sequence: Sequence, lines: Mapping[str, LineUse], vents: Set[str]) -> Iterator[Fault]:
    """Goes through the steps as listed and follows which lines are open and which vents are clamped."""
    open_lines: set[str] = set()
    opened_s: dict[str, float | None] = {}
    clamped: set[str] = set()
    for place, step in enumerate(sequence.steps):
        path = pointer("steps", place, "label")
        if step.label in lines:
            objection = _line_objection(step, lines[step.label], is_open=step.label in open_lines)
            if not objection and step.action is Action.CLOSE:
                yield from _closed_before(step, place, opened_s.get(step.label))
            (open_lines.add if step.action is Action.OPEN else open_lines.discard)(step.label)
            opened_s[step.label] = _moment_s(step.trigger)
        elif step.label in vents:
            objection = _vent_objection(step, is_clamped=step.label in clamped)
            clamped.add(step.label)
        else:
            yield unknown_name(path, step.label, lines.keys() | vents, noun="label")
            continue
        if objection:
            yield Fault(path=path, found=f"{step.action} {say_found(step.label)}", expected=objection)


def _closed_before(step: Step, place: int, opened_s: float | None) -> Iterator[Fault]:
    """Where the clock calls for both. Whether resin calls for the one before the other shows when they are played."""
    closed_s = _moment_s(step.trigger)
    if closed_s is None or opened_s is None or closed_s >= opened_s:
        return
    at_start = step.trigger.kind is TriggerKind.START
    yield Fault(
        path=pointer("steps", place, "when", *(() if at_start else ("clock_s",))),
        found=f"close {say_found(step.label)} {'at the start' if at_start else f'at {closed_s:g} s'}",
        expected=f"{opened_s:g} s or later: the tap is opened then, and would stay open",
    )


def _moment_s(trigger: Trigger) -> float | None:
    """When it calls, where that is known before anything is played."""
    if trigger.kind is TriggerKind.START:
        return 0.0
    return (trigger.at_s or 0.0) + trigger.delay_s if trigger.kind is TriggerKind.CLOCK else None


def _short_cuts(sequence: Sequence, on_line: Mapping[str, str | None]) -> Iterator[Fault]:
    """Lines opened while the vent on them is open: resin would run through them into the catch pot."""
    through = {line: vent for vent, line in on_line.items() if line is not None}
    clamped: set[str] = set()
    for place, step in enumerate(sequence.steps):
        if step.action is Action.CLAMP:
            clamped.add(step.label)
        vent = through.get(step.label)
        if step.action is Action.OPEN and vent is not None and vent not in clamped:
            yield Fault(
                path=pointer("steps", place, "label"),
                found=f"open {say_found(step.label)}",
                expected=f"the vent on it, {say_found(vent)}, clamped in a step listed before",
            )


def _line_objection(step: Step, use: LineUse, *, is_open: bool) -> str:
    if step.action is Action.CLAMP:
        return "a vent to clamp; a feed line is closed"
    if step.action is Action.OPEN and use is LineUse.FORBIDDEN:
        return "a line whose use is not forbidden"
    if step.action is Action.OPEN and is_open:
        return "a line that is shut; this one was opened before and not closed"
    if step.action is Action.CLOSE and not is_open:
        return "a line that was opened before"
    return ""


def _vent_objection(step: Step, *, is_clamped: bool) -> str:
    if step.action is not Action.CLAMP:
        return f"a feed line to {step.action}; a vent is open from the start and can only be clamped"
    return "a vent that is still open; this one was clamped before" if is_clamped else ""


def _trigger_faults(sequence: Sequence, lines: Set[str], vents: Set[str]) -> Iterator[Fault]:
    may_be_watched = {TriggerKind.REACHED: lines | vents, TriggerKind.WET_UP_TO: lines}
    for place, step in enumerate(sequence.steps):
        kind, watched = step.trigger.kind, step.trigger.place or ""
        if kind in may_be_watched and watched not in may_be_watched[kind]:
            path = pointer("steps", place, "when", kind.value)
            yield unknown_name(path, watched, may_be_watched[kind], noun="label")
