"""A sequence rewritten so that it keeps the rules of its taps, before and after it has been played."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from math import inf

from optimiser.filling.fill_run import FillRun, opening_times_s
from optimiser.part.sequence import Action, Sequence, Step, Trigger, TriggerKind
from optimiser.part.shot import Crew, Shot
from optimiser.plan.rules_of_taps import open_spans
from optimiser.plan.shop_rules import required_left_shut, starts_as_given, waiting_their_turn
from optimiser.sequencing.triggers import with_triggers

_MOST_HAND_OVERS = 3
"""Moments at which the first line of a pair may give way to the other, tried for each sequence and pair."""


def keeping_rules(shot: Shot, sequence: Sequence, run: FillRun, *, pairs: bool) -> Iterator[tuple[str, Sequence]]:
    """Ways to keep what this sequence broke in this run: turns waited for, latest times by the clock, pairs apart.

    With each what is other in it, in words. pairs: whether ways to keep pairs apart are wanted.
    """
    together = _together(shot, _without_idle(shot, sequence, run), run)
    kept = _in_time(shot, waiting_their_turn(shot, together, run), run)
    yield "in turn", kept
    opened = {label: spans[0][0] for label, spans in open_spans(run).items()}
    for pair in shot.rules.never_at_once if pairs else ():
        if not all(label in opened for label in pair):
            continue
        first, second = sorted(pair, key=lambda label: (opened[label], label))
        yield from _apart(shot, kept, first, second, run)


def handing_over(sequence: Sequence, first: str, second: str, trigger: Trigger, wait_s: float = 0.0) -> Sequence:
    """The first line is shut and the second opened when this calls, in this order; the second waits so much longer.

    Called for by one trigger, they come in the order of the list however fast the resin is.
    """
    steps = [step for step in sequence.steps if not (step.action is Action.CLOSE and step.label == first)]
    place = next(k for k, step in enumerate(steps) if step.action is Action.OPEN and step.label == second)
    del steps[place]
    opened = next(k for k, step in enumerate(steps) if step.action is Action.OPEN and step.label == first)
    place = max(place, opened + 1)
    opens = Step(action=Action.OPEN, label=second, trigger=replace(trigger, delay_s=trigger.delay_s + wait_s))
    steps[place:place] = [Step(action=Action.CLOSE, label=first, trigger=trigger), opens]
    return Sequence(steps=tuple(steps))


def wait_for_hand_over_s(crew: Crew) -> float:
    """Where several people walk, the one who opens may be there before the one who shuts."""
    return max(map(max, crew.walk_s), default=0.0) if crew.hands > 1 else 0.0


def trigger_of(sequence: Sequence, label: str) -> Trigger:
    """What calls for this line to be opened first."""
    return next(step.trigger for step in sequence.steps if step.action is Action.OPEN and step.label == label)


def _together(shot: Shot, sequence: Sequence, run: FillRun) -> Sequence:
    """Every line of a group called for by what in this run called for the last of it; by the start, if one was there.

    A group that was not opened whole is left shut.
    """
    called_s = {one.step.label: one.called_s for one in reversed(run.steps) if one.step.action is Action.OPEN}
    steps = list(sequence.steps)
    for group in shot.rules.together:
        opened = [label for label in group if label in called_s]
        steps = [step for step in steps if len(opened) == len(group) or step.label not in group]
        if len(opened) < len(group):
            continue
        started = [label for label in group if called_s[label] == 0]
        last = (started or [max(group, key=lambda label: (called_s[label], label))])[0]
        place = next(k for k, step in enumerate(steps) if step.label == last)
        trigger = trigger_of(sequence, last)
        before = [step for step in steps[:place] if step.label not in group]
        after = [step for step in steps[place:] if step.label not in group]
        steps = [*before, *(Step(action=Action.OPEN, label=label, trigger=trigger) for label in group), *after]
    return Sequence(steps=tuple(steps))


def _without_idle(shot: Shot, sequence: Sequence, run: FillRun) -> Sequence:
    """Taps with a latest time that all was wet without are left out, with what else is done to them."""
    opened = open_spans(run)
    idle = {label for label, _ in shot.rules.latest_s} - opened.keys() - {*required_left_shut(shot, opened)}
    return Sequence(steps=tuple(step for step in sequence.steps if step.label not in idle))


def _in_time(shot: Shot, sequence: Sequence, run: FillRun) -> Sequence:
    """Taps that opened too late in this run, or not at all, are called for by the clock, each so early that hands
    suffice."""
    spans, wanted = open_spans(run), sequence.opened_labels()
    opened_s = {label: spans[label][0][0] if label in spans else inf for label in wanted}
    asked = ((latest_s, label) for label, latest_s in shot.rules.latest_s)
    late = sorted((one for one in asked if opened_s.get(one[1], 0.0) > one[0]), reverse=True)
    whole = {label: group for group in shot.rules.together for label in group}
    for place, (latest_s, label) in enumerate(late):
        those = whole.get(label, (label,))
        needs_s = shot.crew.action_s + shot.crew.within_s(those) + max(map(max, shot.crew.walk_s), default=0.0)
        call_s = latest_s - (1 + place // shot.crew.hands) * needs_s
        trigger = Trigger(kind=TriggerKind.CLOCK, at_s=call_s) if call_s > 0 else Trigger(kind=TriggerKind.START)
        sequence = _called_by(sequence, those, trigger)
    return sequence


def _called_by(sequence: Sequence, labels: tuple[str, ...], trigger: Trigger) -> Sequence:
    return with_triggers(sequence, labels, lambda _: trigger)


def _apart(
    shot: Shot, sequence: Sequence, first: str, second: str, run: FillRun
) -> Iterator[tuple[str, Sequence]]:
    """The second line in place of the first: when it would open anyway, or when resin has come further; or only one."""
    step = next(step for step in sequence.steps if step.action is Action.OPEN and step.label == second)
    wait_s = wait_for_hand_over_s(shot.crew)
    triggers = [step.trigger] if step.trigger.kind is not TriggerKind.START else []
    opened_s = opening_times_s(run)
    for one in run.steps:
        watched = one.step.trigger
        if watched.kind in (TriggerKind.REACHED, TriggerKind.WET_UP_TO) and one.done_s > opened_s[first]:
            triggers.append(replace(watched, delay_s=0.0))
    for number, trigger in enumerate(list(dict.fromkeys(triggers))[:_MOST_HAND_OVERS], start=1):
        yield f"{second} in place of {first}, {number}", handing_over(sequence, first, second, trigger, wait_s)
    for idle in (second, first):
        left = tuple(step for step in sequence.steps if step.label != idle)
        if any(step.trigger.kind is TriggerKind.START for step in left):
            yield f"without {idle}", Sequence(steps=left)


def may_be_played(shot: Shot, sequence: Sequence) -> bool:
    """Whether it opens what the user wants opened, and first; what speaks of times shows when it is played."""
    return (
        starts_as_given(shot, sequence)
        and not required_left_shut(shot, sequence.opened_labels())
        and not _forbidden_at_start(shot, sequence)
    )


def _forbidden_at_start(shot: Shot, sequence: Sequence) -> bool:
    """Whether two lines of a pair are among those that open at the start."""
    start = set(sequence.start_labels())
    pairs = {frozenset(pair) for pair in shot.rules.never_at_once}
    return any(frozenset(pair) in pairs for pair in combinations(sorted(start), 2))
