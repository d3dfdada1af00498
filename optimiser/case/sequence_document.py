"""A sequence as a user writes it: which tap, what to do, and when."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Discriminator, Field, Tag

from optimiser.case.document_shape import DocumentShape, Label, Number, PartOfRun, SchemaVersion
from optimiser.case.one_of import one_key_of
from optimiser.part.sequence import Action, Sequence, Step, Trigger, TriggerKind

LONGEST_CLOCK_S = 2 * 24 * 3600
ClockSeconds = Annotated[Number, Field(ge=0, le=LONGEST_CLOCK_S)]


class AtStart(DocumentShape):
    start: Literal[True]


class OnReach(DocumentShape):
    reached: Label
    """Label of the feed line or vent to watch; a line may wait for resin to reach itself."""
    share_percent: PartOfRun = 100.0
    """Share of its length that resin must have reached."""
    delay_s: ClockSeconds = 0.0
    """Wait this long after that."""


class OnWetting(DocumentShape):
    wet_up_to: Label
    """Label of a feed line; nothing dry may be left beside it, on the side from which the resin comes."""
    share_percent: PartOfRun = 100.0
    """Share of its length along which that must hold."""
    delay_s: ClockSeconds = 0.0
    """Wait this long after that."""


class OnClock(DocumentShape):
    clock_s: ClockSeconds
    """Since the start of the shot."""


WhenDocument = Annotated[
    Annotated[AtStart, Tag("⟨start⟩")]
    | Annotated[OnReach, Tag("⟨reached⟩")]
    | Annotated[OnWetting, Tag("⟨wet_up_to⟩")]
    | Annotated[OnClock, Tag("⟨clock_s⟩")],
    Discriminator(one_key_of("start", "reached", "wet_up_to", "clock_s")),
]


class StepDocument(DocumentShape):
    action: Literal["open", "close", "clamp"]
    """Open or close a feed line's tap; clamp a vent."""
    label: Label
    when: WhenDocument


class SequenceDocument(DocumentShape):
    schema_version: SchemaVersion = 1
    steps: Annotated[tuple[StepDocument, ...], Field(min_length=1, max_length=2000)]


def sequence_of(document: SequenceDocument) -> Sequence:
    return Sequence(
        steps=tuple(
            Step(action=Action(step.action), label=step.label, trigger=_trigger(step.when))
            for step in document.steps
        )
    )


def sequence_to_document(sequence: Sequence) -> SequenceDocument:
    """The sequence as a document. A delay after the start or the clock becomes a clock time: as long."""
    return SequenceDocument(
        steps=tuple(
            StepDocument(action=step.action.value, label=step.label, when=_when(step.trigger))
            for step in sequence.steps
        )
    )


def _trigger(when: WhenDocument) -> Trigger:
    match when:
        case AtStart():
            return Trigger(kind=TriggerKind.START)
        case OnReach(reached=place):
            return _seen(TriggerKind.REACHED, place, when)
        case OnWetting(wet_up_to=place):
            return _seen(TriggerKind.WET_UP_TO, place, when)
        case OnClock():
            return Trigger(kind=TriggerKind.CLOCK, at_s=when.clock_s)


def _seen(kind: TriggerKind, place: str, when: OnReach | OnWetting) -> Trigger:
    return Trigger(kind=kind, place=place, share=when.share_percent / 100.0, delay_s=when.delay_s)


def _when(trigger: Trigger) -> WhenDocument:
    place, percent = trigger.place or "", trigger.share * 100.0
    if trigger.kind is TriggerKind.REACHED:
        return OnReach(reached=place, share_percent=percent, delay_s=trigger.delay_s)
    if trigger.kind is TriggerKind.WET_UP_TO:
        return OnWetting(wet_up_to=place, share_percent=percent, delay_s=trigger.delay_s)
    moment_s = (trigger.at_s or 0.0) + trigger.delay_s
    if trigger.kind is TriggerKind.START and moment_s == 0:
        return AtStart(start=True)
    return OnClock(clock_s=moment_s)
