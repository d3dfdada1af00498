"""An order of the zone graph that locks air is played again with the taps that closed it in turned later."""

from __future__ import annotations

from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

import pytest

from optimiser.part.sequence import Action, Sequence, Step, Trigger, TriggerKind
from optimiser.plan.result import Candidate
from optimiser.plan.wait_where_locked import wait_where_locked
from optimiser.sequencing.by_hand import Named

OPENED_S, RESIN_S = 100.0, 500.0
"""Line 2, as the graph has it, and when nothing dry is left up to it."""


def lock(*closed_by: str, at_s: float = 150.0, fails: bool = True) -> Any:
    return SimpleNamespace(closed_by=closed_by, at_s=at_s, fails=fails)


def step(label: str, trigger: Trigger) -> Step:
    return Step(action=Action.OPEN, label=label, trigger=trigger)


ORDER = Sequence(
    steps=(
        step("1", Trigger(kind=TriggerKind.START)),
        step("2", Trigger(kind=TriggerKind.CLOCK, at_s=OPENED_S)),
        step("3", Trigger(kind=TriggerKind.REACHED, place="3")),
    )
)


def candidate(sequence: Sequence, *locks: Any, opened_s: float = OPENED_S) -> Candidate:
    moments_s = (0.0, opened_s, 900.0)
    done = [SimpleNamespace(step=one, done_s=at_s) for one, at_s in zip(sequence.steps, moments_s, strict=True)]
    run: Any = SimpleNamespace(locks=locks, steps=done, clean=not any(one.fails for one in locks))
    return Candidate(name="turn 1", sequence=sequence, run=run, patchy_runs=(), broken="")


@dataclass
class Mould:
    """Locks air where line 2 is opened before `drains_s`."""

    drains_s: float

    def __post_init__(self) -> None:
        self.played: list[Named] = []

    def play(self, named: Named) -> Candidate:
        self.played.append(named)
        trigger = named.sequence.steps[1].trigger
        at_s = RESIN_S if trigger.at_s is None else trigger.at_s
        return candidate(named.sequence, *([] if at_s >= self.drains_s else [lock("1", "2")]), opened_s=at_s)

    @property
    def moments_s(self) -> list[float | None]:
        """At which line 2 was opened by the clock; None: by sight."""
        return [one.sequence.steps[1].trigger.at_s for one in self.played]


@pytest.mark.parametrize(
    ("drains_s", "moments_s"), [(150.0, [None, 300, 200]), (250.0, [None, 300, 200]), (350.0, [None, 300, 400])]
)
def test_the_closing_tap_waits_for_resin_then_for_half_of_that(drains_s: float, moments_s: list[float | None]) -> None:
    """First by sight, then half way between the graph's moment and resin, then a quarter to either side."""
    mould = Mould(drains_s)
    wait_where_locked(candidate(ORDER, lock("1", "2")), mould.play)
    assert mould.moments_s == moments_s
    assert mould.played[0].sequence.steps[1].trigger == Trigger(kind=TriggerKind.WET_UP_TO, place="2")
    assert all(one.sequence.steps[0] == ORDER.steps[0] for one in mould.played)
    assert all(one.sequence.steps[2] == ORDER.steps[2] for one in mould.played)


def test_where_waiting_for_resin_locks_too_nothing_sooner_is_tried() -> None:
    """The lock is not of that tap's making."""
    mould = Mould(drains_s=RESIN_S + 1)
    wait_where_locked(candidate(ORDER, lock("1", "2")), mould.play)
    assert mould.moments_s == [None]


def test_an_order_that_locks_at_many_taps_is_left() -> None:
    """Waiting with all of them is what is played by hand anyway."""
    many = Sequence(steps=tuple(step(str(k), Trigger(kind=TriggerKind.CLOCK, at_s=10.0 * k)) for k in range(5)))
    done = [SimpleNamespace(step=one, done_s=10.0 * k) for k, one in enumerate(many.steps)]
    run: Any = SimpleNamespace(locks=tuple(lock(str(k)) for k in range(1, 5)), steps=done, clean=False)
    mould = Mould(drains_s=0.0)
    wait_where_locked(Candidate(name="turn 1", sequence=many, run=run, patchy_runs=(), broken=""), mould.play)
    assert mould.played == []


@pytest.mark.parametrize("locks", [(), (lock("1"),), (lock("1", "2", fails=False),), (lock("1", "2", at_s=50.0),)])
def test_nothing_is_played_where_no_later_tap_closed_anything_in(locks: tuple[Any, ...]) -> None:
    """No lock; one of the start alone; one too small to matter; one from before that tap was open."""
    mould = Mould(drains_s=0.0)
    wait_where_locked(candidate(ORDER, *locks), mould.play)
    assert mould.played == []
