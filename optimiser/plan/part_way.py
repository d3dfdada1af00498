"""Taps turned while part of what they wait for is still dry: sooner done, where that is no less safe."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import cached_property
from math import inf, isfinite

from optimiser.filling.fill_run import FillRun
from optimiser.filling.many_runs import Scene, Task
from optimiser.part.sequence import Action, Sequence, Trigger, TriggerKind
from optimiser.plan.choose import Chooser
from optimiser.plan.hand_made import in_turn
from optimiser.plan.result import Candidate, Verified
from optimiser.sequencing.by_hand import Named
from optimiser.sequencing.triggers import with_triggers

SHARES = (0.9, 0.75, 0.5)
"""Of the line, up to which nothing dry is left: what can be told by eye beside the part."""
_WORTH_IT, _WORTH_WHERE_LATE = 0.05, 0.01
"""A tap turned before all is wet up to it must win this share of the time: less is not worth a trigger that is harder
to judge, but where the shot would be too late."""
_MOST_DOUBTED = 3
"""Of what wins at one go, so many are held against the order that waits, fastest first."""
_AT_ONCE = 4
"""Laminates played together: of what fails too often the rest is spared, whatever the number of workers."""
_OTHER = {TriggerKind.WET_UP_TO: TriggerKind.REACHED, TriggerKind.REACHED: TriggerKind.WET_UP_TO}


def part_way(chooser: Chooser, chosen: Verified, phase: str, at: float, *, late: bool) -> list[Candidate]:
    """The taps of the chosen sequence turned at a share of what they wait for: all of them, then by those called for
    together, as long as it wins. What won is given, the fastest first. late: the chosen one is not
    wet before gel.

    An opening that does not wait may shut in a strip of its bay where the laminate is a little slower than thought,
    and gains most where it is boldest. So each has to get through every one of a number of patchy laminates that the
    chosen one gets through; the rest is forgotten.
    """
    waits = next(one for one in chooser.candidates if one.sequence == chosen.sequence)
    waiting = _waiting(waits.sequence)
    if not waiting or not waits.run.clean:
        return []
    worth_s = worth_share(late=late) * waits.run.wet_out_s
    search = _PartWay(chooser=chooser, waits=waits, worth_s=worth_s, phase=phase, at=at)
    search.take(search.winning(_at_share(waits.sequence, waiting, share) for share in SHARES))
    for labels in _called_together(waits.run, waiting, search.worth_s):
        if labels == waiting:
            break
        now = search.best.sequence
        boldest = search.winning([_at_share(now, labels, SHARES[-1]), _on_other(now, labels)])
        if boldest:
            search.take([*boldest, *search.winning(_at_share(now, labels, share) for share in SHARES[:-1])])
    return search.won[::-1]


def worth_share(*, late: bool) -> float:
    """Of its time, that an order must win to be taken for one that waits; late: that is not wet before gel."""
    return _WORTH_WHERE_LATE if late else _WORTH_IT


@dataclass(kw_only=True)
class _PartWay:
    chooser: Chooser
    waits: Candidate
    """Nothing is dry up to a line when its tap is turned."""
    worth_s: float
    phase: str
    at: float
    won: list[Candidate] = field(default_factory=list)

    @property
    def best(self) -> Candidate:
        return self.won[-1] if self.won else self.waits

    def take(self, winning: list[Candidate]) -> None:
        """The fastest of them that is no less safe is the best now, if there is one."""
        for one in sorted(winning, key=_wet_out_s)[:_MOST_DOUBTED]:
            if self._is_as_safe(one):
                self.won.append(one)
                self.chooser.candidates.append(one)
                return

    def winning(self, sequences: Iterable[Sequence]) -> list[Candidate]:
        """Those that are clean and worth it; none stays among the candidates."""
        chooser, before, waits = self.chooser, len(self.chooser.candidates), self.waits
        most_s = self.best.run.wet_out_s - self.worth_s
        named = [Named(name=f"{waits.name}, {_changed(one, waits.sequence)}", sequence=one) for one in sequences]
        best_s = chooser.best_s_or_inf()
        may_lead = most_s / best_s if isfinite(best_s) else inf
        chooser.play(in_turn(chooser.shot, named), self.phase, (self.at, self.at), may_lead=may_lead)
        played = chooser.candidates[before:]
        del chooser.candidates[before:]
        return [one for one in played if one.clean and one.run.wet_out_s <= most_s]

    def _is_as_safe(self, one: Candidate) -> bool:
        """Clean wherever the one that waits is."""
        chooser = self.chooser
        for first in range(0, len(self._got_through), _AT_ONCE):
            if chooser.patience.search_is_over:
                return False
            if not all(self._clean_in(one, self._got_through[first : first + _AT_ONCE])):
                return False
        return True

    @cached_property
    def _got_through(self) -> tuple[Scene, ...]:
        """The patchy laminates in which the one that waits locks nothing."""
        laminates = self.chooser.scenes.more_patchy
        return tuple(
            scene for scene, clean in zip(laminates, self._clean_in(self.waits, laminates), strict=True) if clean
        )

    def _clean_in(self, one: Candidate, laminates: tuple[Scene, ...]) -> list[bool]:
        chooser = self.chooser
        tasks = [Task(scene=k, sequence=one.sequence, limits=chooser.limits) for k in range(len(laminates))]
        return [run.clean for run in chooser.runner.run(tasks, scenes=laminates)]


def _waiting(sequence: Sequence) -> frozenset[str]:
    """Taps that are turned as soon as resin is all along their own line, or nothing is dry up to it."""
    return frozenset(
        step.label
        for step in sequence.steps
        if step.action is Action.OPEN
        and step.trigger.kind in _OTHER
        and step.trigger.place == step.label
        and step.trigger.share >= 1
        and not step.trigger.delay_s
    )


def _called_together(run: FillRun, labels: frozenset[str], near_s: float) -> list[frozenset[str]]:
    """These taps by when they are called for, those in one that are so near each other that one alone gains nothing:
    the two sides of a part that is the same on both."""
    groups: list[tuple[float, set[str]]] = []
    for one in sorted(run.steps, key=lambda one: one.called_s):
        if one.step.action is not Action.OPEN or one.step.label not in labels:
            continue
        if groups and one.called_s - groups[-1][0] <= near_s:
            groups[-1][1].add(one.step.label)
        else:
            groups.append((one.called_s, {one.step.label}))
    return [frozenset(group) for _, group in groups]


def _at_share(sequence: Sequence, labels: frozenset[str], share: float) -> Sequence:
    return with_triggers(sequence, labels, lambda step: replace(step.trigger, share=share))


def _on_other(sequence: Sequence, labels: frozenset[str]) -> Sequence:
    """On reach instead of bay by bay, and the other way round."""
    return with_triggers(
        sequence, labels, lambda step: replace(step.trigger, kind=_OTHER[step.trigger.kind], share=1.0)
    )


def _changed(sequence: Sequence, before: Sequence) -> str:
    """Which taps are turned otherwise than before: '1, 3 at 90%; 4 on reach'."""
    was = {step.label: step.trigger for step in before.steps if step.action is Action.OPEN}
    how: dict[str, list[str]] = {}
    for step in sequence.steps:
        if step.action is Action.OPEN and step.trigger != was[step.label]:
            how.setdefault(_how(step.trigger), []).append(step.label)
    later = sum(trigger.kind is not TriggerKind.START for trigger in was.values())
    if later > 1 and [len(labels) for labels in how.values()] == [later]:
        how = {words: ["each later tap"] for words in how}
    return "; ".join(f"{', '.join(labels)} {words}" for words, labels in how.items())


def _how(trigger: Trigger) -> str:
    if trigger.share < 1:
        return f"at {trigger.share:.0%}"
    return "on reach" if trigger.kind is TriggerKind.REACHED else "bay by bay"


def _wet_out_s(one: Candidate) -> float:
    return one.run.wet_out_s
