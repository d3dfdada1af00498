"""What the rows of the tap table say."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from optimiser.case.plan_document import PlanDocument, PlannedStep, TriggerText
from optimiser.run_sheet.wording import is_short, kilograms, minute_range, minutes, sentence


@dataclass(frozen=True, kw_only=True)
class StepRow:
    """One turn of one tap."""

    order: int
    label: str
    action: str
    """OPEN, CLOSE or CLAMP."""
    what: str
    """What is turned, in words: 'tap, line 3'."""
    fills: bool
    """True: the step lets resin in."""
    minute: str
    """'min 24', or a dash where the calculated run never came to it."""
    spread: str
    """'19–31', may be empty."""
    amount: str
    """Resin drawn by then and the flow after it, may be empty."""
    own_trigger: str
    """Its own sentence, where the steps of one trigger are worded differently; else empty."""
    own_backup: str


@dataclass(frozen=True, kw_only=True)
class StepGroup:
    """Steps that one trigger calls for, done in this order."""

    call: str
    """START, WAIT or CLOCK."""
    says: str
    """The trigger sentence; empty where each row has its own."""
    backup: str
    rows: tuple[StepRow, ...]

    @property
    def count(self) -> str:
        return "1 action" if len(self.rows) == 1 else f"{len(self.rows)} actions, one after the other"


_CALLS = {"start": "START", "reached": "WAIT", "wet_up_to": "WAIT", "clock": "CLOCK"}
_FALLBACK_SAYS = {
    "start": "At the start",
    "reached": "When resin gets there",
    "wet_up_to": "When all is wet up to there",
    "clock": "By the clock",
}


def step_groups(plan: PlanDocument) -> list[StepGroup]:
    """The steps in order; neighbours with the same trigger together."""
    short = is_short(plan.wet_out_s)
    steps = sorted(plan.steps, key=lambda step: step.order)
    return [_group(list(same), short=short) for _, same in groupby(steps, key=_same_trigger)]


def every_row(groups: list[StepGroup]) -> Iterator[StepRow]:
    for group in groups:
        yield from group.rows


def _same_trigger(step: PlannedStep) -> tuple[object, ...]:
    trigger = step.trigger
    return trigger.kind, trigger.place, trigger.share, trigger.at_s, trigger.delay_s


def _group(steps: list[PlannedStep], *, short: bool) -> StepGroup:
    triggers = [step.trigger for step in steps]
    says = _shared([_says(trigger) for trigger in triggers])
    backup = _shared([_backup(trigger) for trigger in triggers])
    return StepGroup(
        call=_CALLS[triggers[0].kind],
        says=says,
        backup=backup,
        rows=tuple(_row(step, short=short, said=bool(says), backed=bool(backup)) for step in steps),
    )


def _shared(texts: list[str]) -> str:
    return texts[0] if len(set(texts)) == 1 else ""


def _says(trigger: TriggerText) -> str:
    return sentence(trigger.says.strip()) or _FALLBACK_SAYS[trigger.kind]


def _backup(trigger: TriggerText) -> str:
    return sentence((trigger.backup or "").strip().removeprefix("or ").rstrip("."))


def _row(step: PlannedStep, *, short: bool, said: bool, backed: bool) -> StepRow:
    at_s = step.expected_at_s
    return StepRow(
        order=step.order,
        label=step.label,
        action=step.action.upper(),
        what=f"tap, {step.line}" if step.kind == "line" else "vent",
        fills=step.action == "open",
        minute="no time" if at_s is None else f"min {minutes(at_s, short=short)}",
        spread=minute_range(step.earliest_s, step.latest_s, short=short),
        amount=_amount(step),
        own_trigger="" if said else _says(step.trigger),
        own_backup="" if backed else _backup(step.trigger),
    )


def _amount(step: PlannedStep) -> str:
    drawn = "" if step.drawn_kg is None else f"{kilograms(step.drawn_kg)} in"
    flow = "" if step.flow_kg_per_min is None else f"{step.flow_kg_per_min:.1f} kg/min"
    return ", ".join(part for part in (drawn, flow) if part)
