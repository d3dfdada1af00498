"""Ordered tap actions, each with the trigger that calls for it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Action(StrEnum):
    OPEN = "open"
    CLOSE = "close"
    CLAMP = "clamp"
    """Shut a vent."""


class TriggerKind(StrEnum):
    START = "start"
    REACHED = "reached"
    """Resin stands in `place` (a feed line or a vent) along `share` of its length."""
    WET_UP_TO = "wet_up_to"
    """Nothing dry is left along `share` of the line `place`, on the side from which the resin comes."""
    CLOCK = "clock"


@dataclass(frozen=True, kw_only=True)
class Trigger:
    kind: TriggerKind
    place: str | None = None
    share: float = 1.0
    at_s: float | None = None
    """For a clock trigger: since the start of the shot."""
    delay_s: float = 0.0
    """Wait this long after the event before acting."""


@dataclass(frozen=True, kw_only=True)
class Step:
    action: Action
    label: str
    trigger: Trigger


@dataclass(frozen=True, kw_only=True)
class Sequence:
    """Steps in the order in which the crew reads them. Steps with the same trigger are done in this order."""

    steps: tuple[Step, ...]

    def opened_labels(self) -> tuple[str, ...]:
        return tuple(step.label for step in self.steps if step.action is Action.OPEN)

    def start_labels(self) -> tuple[str, ...]:
        """Lines that open at the start."""
        return tuple(
            step.label
            for step in self.steps
            if step.action is Action.OPEN and step.trigger.kind is TriggerKind.START
        )
