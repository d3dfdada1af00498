"""Where every sequence locks air: a line whose front comes too soon is closed for a while, and the other let come up.

Moments are what the crew sees, resin in a line or a vent, so that the pattern stays the same however fast the resin is.
"""

from __future__ import annotations

from optimiser.filling.fill_run import FillRun, Lock, opening_times_s
from optimiser.filling.tap_play import reached_at
from optimiser.network.flow_network import FlowNetwork
from optimiser.part.sequence import Action, Sequence, Step, Trigger, TriggerKind
from optimiser.sequencing.by_hand import Named
from optimiser.sequencing.triggers import with_steps_before_clamps

_MOST_CLOSERS, _MOST_SHUT, _MOST_AGAIN = 2, 2, 3
"""Lines that closed the largest region; moments at which each may be closed; moments at which it may open again."""


def steering_moves(network: FlowNetwork, name: str, sequence: Sequence, run: FillRun) -> list[Named]:
    """The sequence with one of the lines that closed its largest lock shut before that, and opened again or not."""
    locks = [lock for lock in run.locks if lock.fails]
    if not locks:
        return []
    worst = max(locks, key=lambda lock: lock.pore_m3)
    opened_s = opening_times_s(run)
    closed = {step.label for step in sequence.steps if step.action is Action.CLOSE}
    closers = [label for label in worst.closed_by if label in opened_s and label not in closed]
    moves = []
    for label in closers[:_MOST_CLOSERS]:
        for shut in _seen_between(network, run, label, opened_s[label], worst.at_s):
            for again in (*_seen_of_others(network, run, worst, {label, shut}), None):
                steps = [_step(Action.CLOSE, label, shut)] + ([_step(Action.OPEN, label, again)] if again else [])
                until = f"until resin is at {again}" if again else "for good"
                steered = with_steps_before_clamps(sequence, steps)
                moves.append(Named(name=f"{name}, {label} shut at {shut} {until}", sequence=steered))
    return moves


def _seen_between(network: FlowNetwork, run: FillRun, label: str, from_s: float, until_s: float) -> list[str]:
    """Places that resin is at in that time, the last first."""
    seen = [(reached_at(network, place, 1.0, run.arrival_s), place) for place in network.places if place != label]
    return [place for at_s, place in sorted(seen, reverse=True) if from_s < at_s < until_s][:_MOST_SHUT]


def _seen_of_others(network: FlowNetwork, run: FillRun, lock: Lock, without: set[str]) -> list[str]:
    """Places that resin comes to last or only after the region has closed: where the other front is to come up to."""
    seen = [(reached_at(network, place, 1.0, run.arrival_s), place) for place in network.places]
    later = sorted((abs(at_s - lock.at_s), place) for at_s, place in seen if at_s > 0 and place not in without)
    return [place for _, place in later][:_MOST_AGAIN]


def _step(action: Action, label: str, place: str) -> Step:
    return Step(action=action, label=label, trigger=Trigger(kind=TriggerKind.REACHED, place=place))
