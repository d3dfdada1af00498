"""An order that locks air, with the taps that closed it in turned later: by sight, and as soon as that still drains."""

from __future__ import annotations

from collections.abc import Callable

from optimiser.filling.fill_run import opening_times_s
from optimiser.part.sequence import Sequence, Trigger, TriggerKind
from optimiser.plan.corrections import last_closers
from optimiser.plan.result import Candidate
from optimiser.sequencing.by_hand import Named
from optimiser.sequencing.triggers import with_triggers

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
    sight = _by_sight(locking.sequence, closers)
    waiting = play(Named(name=f"{named} when resin is there", sequence=sight))
    if waiting is None or not waiting.clean:
        return
    soon_s, late_s = opening_times_s(locking.run), opening_times_s(waiting.run)
    share = 0.0
    for step in _SHARES:
        share += step
        moments_s = {label: _between(soon_s[label], late_s[label], share) for label in closers}
        clock = _by_clock(locking.sequence, moments_s)
        between = play(Named(name=f"{named} {share:.0%} later", sequence=clock))
        if between is not None and between.clean:
            share -= step


def _between(soon_s: float, late_s: float, share: float) -> float:
    return float(round(soon_s + share * (late_s - soon_s)))


def _by_sight(sequence: Sequence, labels: frozenset[str]) -> Sequence:
    return with_triggers(
        sequence, labels, lambda step: Trigger(kind=TriggerKind.WET_UP_TO, place=step.label)
    )


def _by_clock(sequence: Sequence, moments_s: dict[str, float]) -> Sequence:
    return with_triggers(
        sequence, moments_s, lambda step: Trigger(kind=TriggerKind.CLOCK, at_s=moments_s[step.label])
    )
