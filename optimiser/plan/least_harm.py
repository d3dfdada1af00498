"""Steps that come closer together than hands can turn them: the one that harms most if it is late goes first."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Protocol

from optimiser.filling.many_runs import Task
from optimiser.part.sequence import Sequence
from optimiser.plan.choose import Chooser, Report
from optimiser.plan.close_calls import close_calls, in_order, most_harmful_first
from optimiser.plan.conflict import admissible
from optimiser.plan.mistakes import MistakeKind
from optimiser.plan.play_mistakes import PlayedMistake, PlayedMistakes, worst_of_each_step
from optimiser.plan.result import Verified
from optimiser.plan.rules_of_taps import broken_rule, called_apart
from optimiser.plan.scenes import FULL
from optimiser.plan.verify import with_spread

_LISTED = "most harmful first"


class Play(Protocol):
    """Plays the mistakes of a sequence, of all its steps or of those at these places; None: it is not for the crew."""

    def __call__(self, chosen: Verified, of_steps: frozenset[int] | None = None) -> PlayedMistakes | None: ...


@dataclass(frozen=True, kw_only=True)
class Ordered:
    sequence: Verified
    """The given one, or with groups of close steps in another order."""
    refused: bool = False
    """Another order was tried, and does not hold or does more harm."""


def least_harm_first(chooser: Chooser, chosen: Verified, play: Play, tell: Report) -> Ordered:
    """The same, or with groups of close steps in another order, where that was played and does no more harm.

    Another order must be admissible, later by no more than the crew needs for a step that waits, its walk included, and
    of all mistakes with those steps the worst, then the next worst and so on, no worse than before.
    """
    crew = chooser.shot.crew
    groups = [group for group in close_calls(chosen.run.steps, crew) if len(group) > crew.hands]
    close = frozenset(one.index for group in groups for one in group)
    before = play(chosen, close) if close else None
    if before is None:
        return Ordered(sequence=chosen)
    late = {one.mistake.step: one.harm for one in before.played if one.mistake.kind is MistakeKind.LATE}
    sequence = chosen.sequence
    for group in groups:
        wanted = most_harmful_first(group, late)
        if wanted != sorted(group, key=lambda one: one.done_s):
            sequence = _same_places(sequence, in_order(sequence, wanted))
    if sequence == chosen.sequence:
        return Ordered(sequence=chosen)
    other = _played_on_full(chooser, f"{chosen.name}, {_LISTED}", sequence)
    walk_s = max(one.walk_s for run in (chosen.run, other.run) for one in run.steps if one.index in close)
    if other.clean and other.run.wet_out_s <= chosen.run.wet_out_s + walk_s + crew.action_s:
        other = with_spread(chooser, other, tell)
        after = play(other, close) if admissible(chooser, other) else None
        if after is not None and _worst(after) <= _worst(before):
            return Ordered(sequence=other)
    return Ordered(sequence=chosen, refused=True)


def _played_on_full(chooser: Chooser, name: str, sequence: Sequence) -> Verified:
    run = chooser.runner.run([Task(scene=FULL, sequence=sequence, limits=chooser.limits)])[0]
    broken = broken_rule(chooser.shot, sequence, run) or called_apart(chooser.shot, sequence)
    margin_s = chooser.near[FULL].margin_s(run)
    return Verified(name=name, sequence=sequence, run=run, spread_runs=(), broken=broken, margin_s=margin_s)


def _same_places(before: Sequence, after: Sequence | None) -> Sequence:
    return before if after is None else after


def _worst(mistakes: PlayedMistakes) -> list[tuple[float, ...]]:
    """Of each step, the worst of all first; by when all is wet, as the two orders are not equally fast without one."""
    worst: dict[int, PlayedMistake] = worst_of_each_step(mistakes.played)
    base_s = mistakes.base.wet_out_s
    return sorted(
        (replace(one.harm, later_s=one.harm.later_s + base_s).rank for one in worst.values()), reverse=True
    )
