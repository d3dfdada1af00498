"""From opening times on the zone graph to triggers that the crew can see."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import replace

from optimiser.part.part import Part
from optimiser.part.sequence import Action, Sequence, Step, Trigger, TriggerKind

_START = Trigger(kind=TriggerKind.START)


def open_at_start(label: str) -> Step:
    return Step(action=Action.OPEN, label=label, trigger=_START)


def open_when_reached(label: str, *, place: str | None = None, share: float = 1.0, delay_s: float = 0.0) -> Step:
    trigger = Trigger(kind=TriggerKind.REACHED, place=place or label, share=share, delay_s=delay_s)
    return Step(action=Action.OPEN, label=label, trigger=trigger)


def open_when_wet_up_to(label: str, *, delay_s: float = 0.0) -> Step:
    trigger = Trigger(kind=TriggerKind.WET_UP_TO, place=label, delay_s=delay_s)
    return Step(action=Action.OPEN, label=label, trigger=trigger)


def clamp_when_reached(vent: str) -> Step:
    return Step(action=Action.CLAMP, label=vent, trigger=Trigger(kind=TriggerKind.REACHED, place=vent))


def clamp_at_start(vent: str) -> Step:
    """The vent is not used."""
    return Step(action=Action.CLAMP, label=vent, trigger=_START)


def clamps_of(part: Part, idle: Collection[str] = ()) -> tuple[Step, ...]:
    """Every vent clamped as resin reaches it, the idle ones at the start."""
    return tuple(
        clamp_at_start(vent.label) if vent.label in idle else clamp_when_reached(vent.label) for vent in part.vents
    )


def without_vent(sequence: Sequence, vent: str) -> Sequence:
    """The same, this vent clamped at the start."""
    steps = (
        clamp_at_start(vent) if step.action is Action.CLAMP and step.label == vent else step for step in sequence.steps
    )
    return Sequence(steps=tuple(steps))


def with_triggers(sequence: Sequence, labels: Collection[str], change: Callable[[Step], Trigger]) -> Sequence:
    """The same, each opening of one of these taps called for by what `change` makes of it."""
    steps = (
        replace(step, trigger=change(step)) if step.action is Action.OPEN and step.label in labels else step
        for step in sequence.steps
    )
    return replace(sequence, steps=tuple(steps))


def with_steps_before_clamps(sequence: Sequence, steps: Iterable[Step]) -> Sequence:
    """The sequence with these steps added: behind those of the taps, before the clamps of the vents."""
    clamps = [step for step in sequence.steps if step.action is Action.CLAMP]
    rest = [step for step in sequence.steps if step.action is not Action.CLAMP]
    return replace(sequence, steps=(*rest, *steps, *clamps))


def idle_vents(sequence: Sequence) -> frozenset[str]:
    """Vents that are clamped at the start."""
    return frozenset(
        step.label
        for step in sequence.steps
        if step.action is Action.CLAMP and step.trigger.kind is TriggerKind.START
    )


def sequence_from_times(
    opens_s: Mapping[str, float],
    reached_s: Mapping[str, float],
    clamps: tuple[Step, ...],
    *,
    action_s: float,
    slack_s: float,
) -> Sequence:
    """Triggers that play the given opening times.

    opens_s: when each used line's tap has been turned, 0 for the start. reached_s: when resin from the other lines
    is expected to stand along each line. A line that opens no earlier than it is reached waits until nothing dry is
    left behind it, and longer only if it is to open later by more than `slack_s`. A line that opens earlier goes by
    the last line reached before it, or by the clock where there is none.
    """
    steps = [open_at_start(label) for label in sorted(opens_s) if opens_s[label] == 0]
    later = sorted((time, label) for label, time in opens_s.items() if time > 0)
    for time, label in later:
        act_s = time - action_s
        own = reached_s.get(label, float("inf"))
        if act_s >= own - slack_s:
            wait = act_s - own
            steps.append(open_when_wet_up_to(label, delay_s=_whole(wait) if wait > slack_s else 0.0))
            continue
        before = [
            (reached_s[other], other)
            for other in opens_s
            if other != label and opens_s[other] > 0 and reached_s.get(other, float("inf")) <= act_s
        ]
        if before:
            at, place = max(before)
            steps.append(open_when_reached(label, place=place, delay_s=_whole(act_s - at)))
        else:
            trigger = Trigger(kind=TriggerKind.CLOCK, at_s=max(_whole(act_s), 0.0))
            steps.append(Step(action=Action.OPEN, label=label, trigger=trigger))
    return Sequence(steps=(*steps, *clamps))


def _whole(seconds: float) -> float:
    """Waits of the crew in steps of ten seconds."""
    return float(max(0, round(seconds / 10)) * 10)
