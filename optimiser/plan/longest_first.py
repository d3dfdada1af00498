"""Which tap goes first where the crew has fewer hands than taps are called for: the one that has longest to feed."""

from __future__ import annotations

import numpy as np

from optimiser.filling.fill_run import FillRun
from optimiser.network.flow_network import FlowNetwork
from optimiser.part.sequence import Action, Sequence, Step, TriggerKind


def longest_first(network: FlowNetwork, sequence: Sequence, run: FillRun) -> Sequence:
    """The same steps, those that open a tap on the way listed by how long after their call the bay beside it is wet.

    Steps are done in the order of their triggers whatever the list says; it decides where those fire at one moment.
    """
    called_s = {one.step.label: one.called_s for one in run.steps if one.step.action is Action.OPEN}

    def feeds_s(step: Step) -> float:
        cells = network.bays[network.line_index[step.label]].cells
        return float(run.arrival_s[cells].max(initial=0.0)) - called_s.get(step.label, np.inf)

    places = [
        place
        for place, step in enumerate(sequence.steps)
        if step.action is Action.OPEN and step.trigger.kind is not TriggerKind.START
    ]
    ordered = sorted((sequence.steps[place] for place in places), key=feeds_s, reverse=True)
    steps = list(sequence.steps)
    for place, step in zip(places, ordered, strict=True):
        steps[place] = step
    return Sequence(steps=tuple(steps))
