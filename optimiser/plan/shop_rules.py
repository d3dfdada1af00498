"""The rules of the shop, judged on what is to be opened and on what was played."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass, replace
from itertools import combinations, pairwise

from optimiser.filling.fill_run import FillRun
from optimiser.part.part import LineUse
from optimiser.part.sequence import Action, Sequence
from optimiser.part.shot import Shot

_SAME_MOMENT_S = 1e-6


@dataclass(frozen=True, kw_only=True)
class AgainstOrder:
    """Two taps that open the wrong way round."""

    first: str
    """The tap that should open before the other."""
    second: str
    early_s: float
    """How long the other opens before it."""


def starts_as_given(shot: Shot, sequence: Sequence) -> bool:
    given = set(shot.rules.start_labels)
    return not given or set(sequence.start_labels()) == given


def required_left_shut(shot: Shot, opened: Container[str]) -> tuple[str, ...]:
    """Required lines that are not among the opened ones."""
    return tuple(
        line.label for line in shot.part.feed_lines if line.use is LineUse.REQUIRED and line.label not in opened
    )


def against_order(shot: Shot, run: FillRun) -> AgainstOrder | None:
    """The two taps that were opened most against the given order; taps that stay shut have no turn."""
    opened = _opened_s(run)
    turns = [label for label in shot.rules.order if label in opened]
    wrong = [
        AgainstOrder(first=first, second=second, early_s=opened[first] - opened[second])
        for first, second in combinations(turns, 2)
        if opened[first] > opened[second] + _SAME_MOMENT_S
    ]
    return max(wrong, key=lambda pair: pair.early_s, default=None)


def waiting_their_turn(shot: Shot, sequence: Sequence, run: FillRun) -> Sequence:
    """The sequence with every tap that opened out of turn in this run called for by what calls for the tap before it.

    Called for together, they are turned as listed; so the order is kept however fast the resin comes to either.
    Unchanged where a tap of the start is out of turn: the shot would not begin.
    """
    opened, steps = _opened_s(run), list(sequence.steps)
    place = {step.label: k for k, step in enumerate(steps) if step.action is Action.OPEN}
    turns = [label for label in shot.rules.order if label in opened]
    for before, label in pairwise(turns):
        if opened[label] == 0 < opened[before]:
            return sequence
        if opened[label] < opened[before]:
            opened[label] = opened[before]
            steps[place[label]] = replace(steps[place[label]], trigger=steps[place[before]].trigger)
    return listed_in_order(Sequence(steps=tuple(steps)), shot.rules.order)


def listed_in_order(sequence: Sequence, order: tuple[str, ...]) -> Sequence:
    """The same steps, those that open the given taps listed in their order: what is called for together goes by it."""
    steps = list(sequence.steps)
    places = [k for k, step in enumerate(steps) if step.action is Action.OPEN and step.label in order]
    turns = sorted((steps[k] for k in places), key=lambda step: order.index(step.label))
    for place, step in zip(places, turns, strict=True):
        steps[place] = step
    return Sequence(steps=tuple(steps))


def _opened_s(run: FillRun) -> dict[str, float]:
    """When each tap was first opened."""
    opened: dict[str, float] = {}
    for one in run.steps:
        if one.step.action is Action.OPEN:
            opened.setdefault(one.step.label, one.done_s)
    return opened
