"""Steps that are called for within the time a pair of hands needs for one, and their order.

Common practice, no source: what is called for together is done one after the other, and the one left for last is late.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from optimiser.filling.tap_play import DueStep
from optimiser.part.sequence import Action, Sequence, TriggerKind
from optimiser.part.shot import Crew
from optimiser.plan.harm import Harm

_ONE_MOMENT_S = 1.0
"""Calls this close are done in the order of the list."""


def close_calls(steps: tuple[DueStep, ...], crew: Crew) -> list[list[DueStep]]:
    """Groups of two and more, in the order of the calls; steps of the start are done before it and are no matter.

    A step is close to the one before if it is called for while that is being done: walked to, and turned.
    """
    called = sorted(
        (one for one in steps if one.step.trigger.kind is not TriggerKind.START),
        key=lambda one: (one.called_s, one.index),
    )
    groups = [[one] for one in called[:1]]
    for before, one in pairwise(called):
        if one.called_s - before.called_s < before.walk_s + crew.action_s:
            groups[-1].append(one)
        else:
            groups.append([one])
    return [group for group in groups if len(group) > 1]


def most_harmful_first(group: list[DueStep], late: dict[int, Harm]) -> list[DueStep]:
    """By what each does if it is late; of equals, as they are done. late: by the place of the step."""
    done = sorted(group, key=lambda one: one.done_s)
    return sorted(done, key=lambda one: late[one.index].rank, reverse=True)


def in_order(sequence: Sequence, wanted: list[DueStep]) -> Sequence | None:
    """The sequence with these steps done in this order: listed so, and a step that is called for too early for it
    called for by what calls for the step before it. None: that would have a vent clamped by another's call.
    """
    steps = list(sequence.steps)
    last = wanted[0]
    for one in wanted[1:]:
        if one.called_s >= last.called_s - _ONE_MOMENT_S:
            last = max(last, one, key=lambda step: step.called_s)
        elif one.step.action is Action.CLAMP:
            return None
        else:
            steps[one.index] = replace(steps[one.index], trigger=steps[last.index].trigger)
    places = sorted(one.index for one in wanted)
    listed = [steps[one.index] for one in wanted]
    for place, step in zip(places, listed, strict=True):
        steps[place] = step
    return Sequence(steps=tuple(steps))
