"""A line that serves as a vent until resin reaches it, and feeds after: its vent is clamped before its tap opens."""

from __future__ import annotations

from dataclasses import replace

from optimiser.part.part import Part
from optimiser.part.sequence import Action, Sequence, Step, Trigger, TriggerKind


def vents_before_feeds(part: Part, sequence: Sequence) -> Sequence:
    """The sequence with the vent on each line clamped before that line is opened.

    A line that is not opened, or only once its bay is wet, is a vent until resin stands in it. One that is opened by
    anything else is a vent until then: one trigger calls for both, the clamp listed first. One that is opened at the
    start is no vent.
    """
    steps = list(sequence.steps)
    for vent in part.vents:
        if vent.on_line is None:
            continue
        steps = [step for step in steps if not (step.action is Action.CLAMP and step.label == vent.label)]
        opens = next((k for k, step in enumerate(steps) if _opens(step, vent.on_line)), None)
        trigger = Trigger(kind=TriggerKind.REACHED, place=vent.on_line)
        if opens is not None and steps[opens].trigger.kind is not TriggerKind.WET_UP_TO:
            trigger = steps[opens].trigger
        clamp = Step(action=Action.CLAMP, label=vent.label, trigger=trigger)
        steps.insert(len(steps) if opens is None else opens, clamp)
    return replace(sequence, steps=tuple(steps))


def _opens(step: Step, label: str) -> bool:
    return step.action is Action.OPEN and step.label == label
