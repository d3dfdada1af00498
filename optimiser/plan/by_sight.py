"""Taps turned by the clock told by what the crew sees, which holds whatever resin and laminate turn out to be."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import inf

from optimiser.filling.fill_run import FillRun, opening_times_s
from optimiser.filling.tap_play import reached_at, wet_up_to_at
from optimiser.network.flow_network import FlowNetwork
from optimiser.part.sequence import Action, Sequence, Step, Trigger, TriggerKind
from optimiser.sequencing.by_hand import Named

_SLACK_S = 30.0
"""Of so much nobody speaks: a tap turned about when nothing dry is left up to its line waits for just that."""
_LONGEST_WAIT_S = 120.0
"""A longer wait after what was seen is a clock by another name: it does not go with a thinner or a thicker resin."""
_WHOLE_S = 10.0
"""Waits of the crew."""


def goes_by_sight(sequence: Sequence) -> bool:
    """Whether no tap is turned by the clock alone, or after a long wait."""
    triggers = [step.trigger for step in sequence.steps]
    return all(one.kind is not TriggerKind.CLOCK and one.delay_s <= _LONGEST_WAIT_S for one in triggers)


def goes_by_time(sequence: Sequence) -> bool:
    """Whether any tap is turned by the clock, or after a wait."""
    return not goes_by_sight(sequence) or any(step.trigger.delay_s for step in sequence.steps)


def with_clocks(sequence: Sequence, factor: float) -> Sequence:
    """Its moments by the clock, and waits after what was seen, times this factor."""
    steps = (
        replace(
            step,
            trigger=replace(
                step.trigger,
                at_s=None if step.trigger.at_s is None else factor * step.trigger.at_s,
                delay_s=factor * step.trigger.delay_s,
            ),
        )
        for step in sequence.steps
    )
    return replace(sequence, steps=tuple(steps))


def by_sight(network: FlowNetwork, name: str, sequence: Sequence, run: FillRun) -> Named | None:
    """What was played by the clock, each tap by the last that was seen before it, and a wait if it was long before.

    None where it goes by sight, or nothing was seen shortly before any of its taps.
    """
    called_s = {one.index: one.called_s for one in run.steps}
    seen = list(_seen(network, run))
    steps = tuple(
        step
        if step.trigger.kind is not TriggerKind.CLOCK
        else _as_seen(step, called_s.get(index, step.trigger.at_s or 0.0), seen)
        for index, step in enumerate(sequence.steps)
    )
    if steps == sequence.steps:
        return None
    told = replace(sequence, steps=steps)
    return Named(name=f"{name}, {'by sight' if goes_by_sight(told) else 'partly by sight'}", sequence=told)


def _seen(network: FlowNetwork, run: FillRun) -> Iterator[tuple[float, Trigger]]:
    """What was to be seen at lines and vents in this run, and when; resin in a line whose tap is open is no news, and
    nobody looks at a vent that is clamped."""
    clamped_s = {one.step.label: one.done_s for one in run.steps if one.step.action is Action.CLAMP}
    opened_s = opening_times_s(run)
    for line in network.lines:
        for kind, at in ((TriggerKind.WET_UP_TO, wet_up_to_at), (TriggerKind.REACHED, reached_at)):
            at_s = at(network, line.label, 1.0, run.arrival_s)
            if kind is TriggerKind.WET_UP_TO or at_s <= opened_s.get(line.label, inf):
                yield at_s, Trigger(kind=kind, place=line.label)
    for vent in network.vents:
        trigger = Trigger(kind=TriggerKind.REACHED, place=vent.label)
        at_s = reached_at(network, vent.label, 1.0, run.arrival_s)
        if at_s <= clamped_s.get(vent.label, inf):
            yield at_s, trigger


def _as_seen(step: Step, call_s: float, seen: list[tuple[float, Trigger]]) -> Step:
    own = Trigger(kind=TriggerKind.WET_UP_TO, place=step.label)
    if any(trigger == own and abs(at_s - call_s) <= _SLACK_S for at_s, trigger in seen):
        return replace(step, trigger=own)
    before = [(at_s, k) for k, (at_s, _) in enumerate(seen) if at_s <= call_s]
    if not before:
        return step
    at_s, k = max(before)
    wait_s = round((call_s - at_s) / _WHOLE_S) * _WHOLE_S if call_s - at_s > _SLACK_S else 0.0
    if wait_s > _LONGEST_WAIT_S:
        return step
    return replace(step, trigger=replace(seen[k][1], delay_s=wait_s))
