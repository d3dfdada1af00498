"""Triggers in the words of the crew."""

from __future__ import annotations

from math import ceil

import numpy as np

from optimiser.case.plan_document import TriggerText
from optimiser.filling.fill_run import FillRun
from optimiser.filling.tap_play import DueStep
from optimiser.network.bays import near_line
from optimiser.network.flow_network import FlowNetwork
from optimiser.part.sequence import Action, Step, Trigger, TriggerKind
from optimiser.part.shot import Crew

_SPOKEN = {0.9: "nine tenths", 0.75: "three quarters", 0.5: "half"}


def trigger_text(
    step: Step, network: FlowNetwork, run: FillRun, *, called: DueStep | None, crew: Crew, density_kg_m3: float
) -> TriggerText:
    trigger = step.trigger
    return TriggerText(
        kind=trigger.kind.value,
        place=trigger.place,
        share=trigger.share if trigger.place is not None else None,
        at_s=trigger.at_s,
        delay_s=trigger.delay_s,
        says=_event(trigger, network, run)
        + _delay(trigger)
        + _own_vent(step, network)
        + _way(called, crew)
        + _not_used(step),
        backup=_backup(step, run, called, density_kg_m3),
    )


def _event(trigger: Trigger, network: FlowNetwork, run: FillRun) -> str:
    place = trigger.place or ""
    match trigger.kind:
        case TriggerKind.START:
            return "at the start"
        case TriggerKind.CLOCK:
            return f"at {_moment(trigger.at_s or 0.0)} by the clock"
        case TriggerKind.REACHED:
            what = f"line {place}" if place in network.line_index else f"vent {place}"
            return f"when resin stands in {what}{_along(trigger.share)}"
        case TriggerKind.WET_UP_TO:
            behind = _line_across(network, place, run)
            between = f"between line {behind} and line {place}" if behind else f"up to line {place}"
            along = "" if trigger.share >= 1 else f" along {_share(trigger.share)} of line {place}"
            return f"when nothing dry is left {between}{along}"


def _way(called: DueStep | None, crew: Crew) -> str:
    """Whoever is called by the clock sets out then, and not before: the tap is turned when they are there."""
    if called is None or called.step.trigger.kind is not TriggerKind.CLOCK or called.walk_s <= 0:
        return ""
    here, there = called.walked_from, crew.place_of(called.step.label)
    if here is None or there is None:
        return ""
    waits = called.done_s - called.called_s - called.walk_s - crew.action_s > 1.0
    first = "as soon as the step before is done " if waits else ""
    way = f"{crew.places[here].name} to {crew.places[there].name}, {span(called.walk_s)}"
    return f", {first}go from {way}, and turn it there"


def _own_vent(step: Step, network: FlowNetwork) -> str:
    """Of a line that is a vent until then: fed before that is clamped, it would feed the catch pot."""
    if step.action is not Action.OPEN or step.trigger.kind is TriggerKind.START:
        return ""
    index = network.line_index[step.label]
    return "".join(f", and vent {vent.label} is clamped" for vent in network.vents if vent.on_line == index)


def _not_used(step: Step) -> str:
    """A vent that is clamped before resin comes in."""
    idle = step.action is Action.CLAMP and step.trigger.kind is TriggerKind.START
    return ": this vent is not used" if idle else ""


def _along(share: float) -> str:
    return " along its whole length" if share >= 1 else f" along {_share(share)} of its length"


def _share(share: float) -> str:
    """As one speaks of what is judged by eye: 'three quarters'."""
    return _SPOKEN.get(share) or f"{share:.0%}"


def _delay(trigger: Trigger) -> str:
    if trigger.delay_s < 0.001:
        return ""
    return f", then wait {span(trigger.delay_s)}"


def _moment(at_s: float) -> str:
    """'minute 5' where it is one, else '5 min 20 s': in whole minutes it would be called for up to 30 s early."""
    minutes, seconds = divmod(_whole_s(at_s), 60)
    return f"{minutes} min {seconds} s" if seconds else f"minute {minutes}"


def span(lasting_s: float) -> str:
    minutes, seconds = divmod(_whole_s(lasting_s), 60)
    parts = [f"{minutes} min" if minutes else "", f"{seconds} s" if seconds else ""]
    return " ".join(part for part in parts if part)


def _whole_s(time_s: float) -> int:
    """Rounded up: early is the harmful side."""
    return ceil(round(time_s, 3))


def _line_across(network: FlowNetwork, place: str, run: FillRun) -> str | None:
    """The next line on the side from which this one is reached."""
    index = network.line_index[place]
    bay = network.bays[index]
    first = [run.arrival_s[bay.cells[bay.side == side]].min(initial=np.inf) for side in (0, 1)]
    nearest = near_line(network).line[bay.cells[bay.side == int(np.argmin(first))]]
    others = nearest[nearest != index]
    return network.lines[int(np.bincount(others).argmax())].label if len(others) else None


def _backup(step: Step, run: FillRun, called: DueStep | None, density_kg_m3: float) -> str | None:
    """By the scales of the supply, where the place cannot be seen; never for a clamp, which shuts for good."""
    if called is None or step.action is Action.CLAMP or step.trigger.kind in (TriggerKind.START, TriggerKind.CLOCK):
        return None
    drawn_m3 = float(np.interp(called.called_s, run.history.time_s, run.history.injected_m3))
    weight = weight_to_wait_for(drawn_m3 * density_kg_m3, float(run.history.injected_m3[-1]) * density_kg_m3)
    return None if weight is None else f"or after {weight}"


def weight_to_wait_for(drawn_kg: float, in_the_end_kg: float) -> str | None:
    """Rounded up, late being the safe side, but never past what is drawn when the run ends: nobody would see it.

    None: so near the end that hundredths do not tell it apart.
    """
    for decimals in (1, 2):
        weight_kg = ceil(round(drawn_kg * 10**decimals, 6)) / 10**decimals
        if weight_kg <= in_the_end_kg:
            return f"{weight_kg:.{decimals}f} kg"
    return None
