"""Groups of taps opened by what calls for the first of them: to wait for the last may be much more than it takes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from optimiser.filling.fill_run import FillRun
from optimiser.part.sequence import Action, Sequence, Step
from optimiser.plan.merit import rank
from optimiser.plan.result import Candidate
from optimiser.sequencing.by_hand import Named


def groups_by_their_first(together: tuple[tuple[str, ...], ...], candidates: Iterable[Candidate]) -> list[Named]:
    """The orders that lock nothing but break a rule, with each group that opens together called for by what in that run
    called for the first of it. What locks as it is would do so the more with taps opened sooner.

    The taps of a group are listed as they were called for: resin goes on from the line that it came to first while
    hands get to the next.
    """
    torn = sorted((one for one in candidates if one.broken and one.run.clean), key=rank) if together else []
    return [
        Named(name=f"{one.name}, groups by their first tap", sequence=_by_their_first(together, one.sequence, one.run))
        for one in torn
    ]


def _by_their_first(together: tuple[tuple[str, ...], ...], sequence: Sequence, run: FillRun) -> Sequence:
    called_s = {one.step.label: one.called_s for one in reversed(run.steps) if one.step.action is Action.OPEN}
    for group in together:
        if all(label in called_s for label in group):
            sequence = _as_one(sequence, sorted(group, key=lambda label: called_s[label]))
    return sequence


def _as_one(sequence: Sequence, in_turn: list[str]) -> Sequence:
    """These taps called for by what calls for the first of them, listed one after the other in its place."""
    steps: list[Step] = []
    for step in sequence.steps:
        if step.action is not Action.OPEN or step.label not in in_turn:
            steps.append(step)
        elif step.label == in_turn[0]:
            steps += (replace(step, label=label) for label in in_turn)
    return replace(sequence, steps=tuple(steps))
