"""From a file, bytes or plain data to a sequence; a whole plan is read as the sequence it holds."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from optimiser.case.plain_data import refuse_odd_values
from optimiser.case.plan_document import PlanDocument, PlannedStep
from optimiser.case.pointer import pointer
from optimiser.case.read_text import read_data
from optimiser.case.sequence_document import LONGEST_CLOCK_S, SequenceDocument, sequence_of
from optimiser.case.shape_faults import validated
from optimiser.errors import Fault, InputError
from optimiser.part.sequence import Action, Sequence, Step, Trigger, TriggerKind

_PLACE = (("place", "the label of a feed line or vent"),)
_WAITED_FOR = {
    "reached": _PLACE,
    "wet_up_to": _PLACE,
    "clock": (("at_s", f"seconds from 0 to {LONGEST_CLOCK_S}"),),
}


def read_sequence(source: Path | bytes) -> Sequence:
    """The sequence in a YAML or JSON text, or in a plan.json; InputError with every fault of its shape."""
    return _sequence(read_data(source))


def sequence_from_mapping(data: object) -> Sequence:
    """The sequence in plain data. Whether it suits a shot is for `check_sequence` to say."""
    refuse_odd_values(data)
    return _sequence(data)


def _sequence(data: object) -> Sequence:
    """From data without odd values."""
    if isinstance(data, Mapping) and "verdict" in data:
        return sequence_of_plan(validated(PlanDocument, data))
    return sequence_of(validated(SequenceDocument, data))


def sequence_of_plan(plan: PlanDocument) -> Sequence:
    """The sequence that a plan holds, its steps in the order in which they are done. InputError where a step waits for
    nothing."""
    faults = [
        Fault(
            path=pointer("steps", number, "trigger", field),
            found="nothing",
            expected=f"{what}, as the step waits for kind {step.trigger.kind}",
        )
        for number, step in enumerate(plan.steps)
        for field, what in _WAITED_FOR.get(step.trigger.kind, ())
        if getattr(step.trigger, field) is None
    ]
    if faults:
        raise InputError(faults)
    return Sequence(steps=tuple(map(_planned_step, sorted(plan.steps, key=lambda step: step.order))))


def _planned_step(step: PlannedStep) -> Step:
    trigger = step.trigger
    return Step(
        action=Action(step.action),
        label=step.label,
        trigger=Trigger(
            kind=TriggerKind(trigger.kind),
            place=trigger.place,
            share=1.0 if trigger.share is None else trigger.share,
            at_s=trigger.at_s,
            delay_s=trigger.delay_s,
        ),
    )
