"""Taps opened together with another: beyond a vent nothing needs to wait, as the two fronts meet on the vent."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np

from optimiser.filling.fill_run import FillRun
from optimiser.network.flow_network import FlowNetwork
from optimiser.part.sequence import Action, Sequence, Step, Trigger, TriggerKind
from optimiser.sequencing.by_hand import Named
from optimiser.sequencing.triggers import idle_vents

ACROSS_VENTS = ", together across vents"


def parted_by_a_vent(network: FlowNetwork, sequence: Sequence) -> frozenset[frozenset[str]]:
    """Pairs of lines side by side with a vent between them that is not clamped at the start."""
    idle = idle_vents(sequence)
    vents = [vent for vent in network.vents if vent.on_line is None and vent.label not in idle]
    out = set()
    for a, b in combinations(range(len(network.lines)), 2):
        between = np.intersect1d(network.bays[a].cells, network.bays[b].cells)
        if any(2 * np.isin(vent.cells, between).sum() > len(vent.cells) for vent in vents):
            out.add(frozenset((network.lines[a].label, network.lines[b].label)))
    return frozenset(out)


def joined_beyond_vents(
    network: FlowNetwork, name: str, sequence: Sequence, run: FillRun, *, given_start: bool
) -> list[Named]:
    """The sequence with every tap beyond a vent opened together with the line before that vent, where that is sooner.

    given_start: no tap may be added to those of the start, so one that would join them waits for resin in their line.
    """
    pairs = parted_by_a_vent(network, sequence)
    if not pairs:
        return []
    joined = sequence
    called_s = {one.step.label: one.called_s for one in reversed(run.steps) if one.step.action is Action.OPEN}
    in_order = sorted(called_s, key=lambda label: (called_s[label], label))
    for label in in_order:
        earlier = [one for one in in_order if frozenset((one, label)) in pairs and called_s[one] < called_s[label]]
        if earlier:
            joined = _together(joined, label, earlier[0], given_start=given_start)
    return [] if joined == sequence else [Named(name=f"{name}{ACROSS_VENTS}", sequence=joined)]


def _together(sequence: Sequence, label: str, other: str, *, given_start: bool) -> Sequence:
    """This tap opened by what calls for the other, listed after it."""
    steps = list(sequence.steps)
    place = next((k for k, step in enumerate(steps) if _opens(step, label)), None)
    if place is None or not any(_opens(step, other) for step in steps):
        return sequence
    step = steps.pop(place)
    after = next(k for k, one in enumerate(steps) if _opens(one, other))
    trigger = steps[after].trigger
    if given_start and trigger.kind is TriggerKind.START:
        trigger = Trigger(kind=TriggerKind.REACHED, place=other)
    steps.insert(after + 1, replace(step, trigger=trigger))
    return replace(sequence, steps=tuple(steps))


def _opens(step: Step, label: str) -> bool:
    return step.action is Action.OPEN and step.label == label
