"""An order that locks air, with the taps that closed it in turned later: by sight, and as soon as that still drains."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from optimiser.part.sequence import Action, Sequence, Trigger, TriggerKind
from optimiser.plan.corrections import last_closers, opened_s
from optimiser.plan.result import Candidate
from optimiser.sequencing.by_hand import Named

_SHARES = (0.5, 0.25)
"""Of the way from when the taps were turned to when nothing dry is left up to them: so far first, then so much nearer
to where it drains or where it may win."""

_MOST_CLOSERS = 3
"""Where more taps closed something in, the order is bold all over, and waiting with all of them is an order by hand."""

Play = Callable[[Named], Candidate | None]
"""What became of it; None: it was not played."""


def wait_where_locked(locking: Candidate, play: Play) -> None:
    """Play the order with the taps that closed something in waiting for resin; if that drains, at moments in between.

    The zone graph learns from a lock to wait until the region is wet from elsewhere, which may be much more than it
    takes.
    """
    closers = frozenset(last_closers(locking.run))
    if not 0 < len(closers) <= _MOST_CLOSERS:
        return
    named = f"{locking.name}, {' and '.join(sorted(closers))}"
    by_sight = {label: Trigger(kind=TriggerKind.WET_UP_TO, place=label) for label in closers}
    waiting = play(Named(name=f"{named} when resin is there", sequence=_changed(locking.sequence, by_sight)))
    if waiting is None or not waiting.clean:
        return
    soon_s, late_s = opened_s(locking.run), opened_s(waiting.run)
    share = 0.0
    for step in _SHARES:
        share += step
        by_clock = {
            label: Trigger(kind=TriggerKind.CLOCK, at_s=_between(soon_s[label], late_s[label], share))
            for label in closers
        }
        between = play(Named(name=f"{named} {share:.0%} later", sequence=_changed(locking.sequence, by_clock)))
        if between is not None and between.clean:
            share -= step


def _between(soon_s: float, late_s: float, share: float) -> float:
    return float(round(soon_s + share * (late_s - soon_s)))


def _changed(sequence: Sequence, triggers: dict[str, Trigger]) -> Sequence:
    steps = (
        replace(step, trigger=triggers[step.label])
        if step.action is Action.OPEN and step.label in triggers
        else step
        for step in sequence.steps
    )
    return replace(sequence, steps=tuple(steps))
