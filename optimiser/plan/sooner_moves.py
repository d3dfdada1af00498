"""Taps turned before resin is there: two fronts that run towards each other are sooner done, where both still drain."""

from __future__ import annotations

from optimiser.filling.fill_run import FillRun
from optimiser.filling.tap_play import reached_at
from optimiser.network.flow_network import FlowNetwork
from optimiser.part.sequence import Action, Sequence, Step, Trigger, TriggerKind
from optimiser.sequencing.by_hand import Named

SHARES = (0.85, 0.7)
"""Of the time that resin took to each line: a front has then come nine tenths, or five sixths, of its way."""


def sooner_moves(network: FlowNetwork, name: str, sequence: Sequence, run: FillRun) -> list[Named]:
    """The sequence with every tap that was not open at the start turned by the clock, at a share of that time.

    None where a tap is closed on the way: when, rests on what was open before.
    """
    if any(step.action is Action.CLOSE for step in sequence.steps):
        return []
    there_s = {
        one.step.label: min(one.called_s, reached_at(network, one.step.label, 1.0, run.arrival_s))
        for one in run.steps
        if one.step.action is Action.OPEN and one.called_s > 0
    }
    return [
        Named(
            name=f"{name}, taps at {share:.0%} of that",
            sequence=Sequence(steps=tuple(_by_the_clock(step, share, there_s) for step in sequence.steps)),
        )
        for share in SHARES
        if there_s
    ]


def _by_the_clock(step: Step, share: float, there_s: dict[str, float]) -> Step:
    if step.action is not Action.OPEN or step.label not in there_s:
        return step
    trigger = Trigger(kind=TriggerKind.CLOCK, at_s=float(round(share * there_s[step.label])))
    return Step(action=Action.OPEN, label=step.label, trigger=trigger)
