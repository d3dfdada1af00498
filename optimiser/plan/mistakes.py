"""The single mistakes a crew can make with a sequence, and what each of them makes of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import pairwise

from optimiser.filling.tap_play import DueStep
from optimiser.part.sequence import Sequence, Step, Trigger, TriggerKind

LATE_BY_S = 300.0


class MistakeKind(StrEnum):
    SKIPPED = "skipped"
    """The step is never done."""
    SWAPPED = "swapped_with_next"
    """When it is called for, the step after it is done in its place, and it is done when that one is called for."""
    LATE = "late"
    """It is done five minutes after it was called for."""


@dataclass(frozen=True, kw_only=True)
class Mistake:
    kind: MistakeKind
    step: int
    """Place of the step in the sequence."""
    other: int | None = None
    """Place of the step that it is mixed up with."""


def mistakes_in(steps: tuple[DueStep, ...]) -> Iterator[Mistake]:
    """All that are worth playing, for steps in the order in which they were done.

    Two taps of the start are both open before resin comes to either: mixing them up is none.
    """
    for one, following in pairwise((*steps, None)):
        if one is None:
            continue
        yield Mistake(kind=MistakeKind.SKIPPED, step=one.index)
        yield Mistake(kind=MistakeKind.LATE, step=one.index)
        if following is not None and not (_at_start(one.step) and _at_start(following.step)):
            yield Mistake(kind=MistakeKind.SWAPPED, step=one.index, other=following.index)


def with_mistake(sequence: Sequence, mistake: Mistake) -> Sequence:
    """The sequence as it is then played; nothing else is changed, and nothing is done about it."""
    steps = list(sequence.steps)
    one = steps[mistake.step]
    if mistake.kind is MistakeKind.SKIPPED:
        del steps[mistake.step]
    elif mistake.other is not None:
        other = steps[mistake.other]
        steps[mistake.step] = replace(other, trigger=one.trigger)
        steps[mistake.other] = replace(one, trigger=other.trigger)
    else:
        steps[mistake.step] = replace(one, trigger=_later(one.trigger))
    return Sequence(steps=tuple(steps))


def _later(trigger: Trigger) -> Trigger:
    if trigger.kind is TriggerKind.START:
        return Trigger(kind=TriggerKind.CLOCK, at_s=LATE_BY_S)
    return replace(trigger, delay_s=trigger.delay_s + LATE_BY_S)


def _at_start(step: Step) -> bool:
    return step.trigger.kind is TriggerKind.START
