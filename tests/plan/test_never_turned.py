"""A tap that no run comes to is left out of the plan, where that changes no run."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from optimiser.case.read_case import read_case
from optimiser.filling.many_runs import Runner
from optimiser.part.sequence import Action, Sequence, Step, Trigger
from optimiser.part.sequence import TriggerKind as Kind
from optimiser.plan.choose import Chooser
from optimiser.plan.never_turned import without_idle_taps
from optimiser.plan.result import Verified
from optimiser.plan.scenes import scenes_of
from optimiser.plan.verify import verify
from optimiser.sequencing.by_hand import Named
from optimiser.sequencing.triggers import clamp_when_reached, open_at_start

TINY = Path(__file__).parents[1] / "api" / "tiny_case.yaml"
CLAMP = clamp_when_reached("V1")


def by_clock(label: str, at_s: float) -> Step:
    return Step(action=Action.OPEN, label=label, trigger=Trigger(kind=Kind.CLOCK, at_s=at_s))


def played(second_at_s: float) -> tuple[Verified, Verified, Chooser]:
    """Tap 1 from the start, tap 2 by the clock: as verified, and with idle taps left out."""
    shot = read_case(TINY.read_bytes()).shot
    scenes = scenes_of(shot)
    sequence = Sequence(steps=(open_at_start("1"), by_clock("2", second_at_s), CLAMP))
    with Runner(scenes.all, workers=1) as runner:
        chooser = Chooser(shot=shot, scenes=scenes, runner=runner, report=lambda *_: None)
        chooser.play([Named(name="by hand", sequence=sequence)], "playing", (0.0, 0.5))
        chosen, verified = verify(chooser, lambda *_: None)
        assert chosen.sequence == sequence
        assert chosen.holds
        return chosen, without_idle_taps(chooser, chosen, verified, lambda *_: None, 0.9), chooser


@pytest.fixture(scope="module")
def all_wet_s() -> tuple[float, float]:
    """With tap 1 alone: as planned, and in the slowest of the spread."""
    chosen, _, _ = played(1e6)
    return chosen.run.wet_out_s, max(run.wet_out_s for run in chosen.spread_runs)


def test_a_tap_that_never_comes_is_left_out(all_wet_s: tuple[float, float]) -> None:
    """After the last place is wet in the slowest run nothing is opened; each place is wet when it was."""
    chosen, without, chooser = played(2 * all_wet_s[1])
    assert without.sequence.steps == (open_at_start("1"), CLAMP)
    assert without.holds
    assert np.array_equal(without.run.arrival_s, chosen.run.arrival_s)
    assert len(without.spread_runs) == len(chosen.spread_runs)
    best = chooser.best()
    assert best is not None
    assert best.sequence == without.sequence, "the best of the coarse network is still this one"
    assert all(best.sequence.steps[one.index] == one.step for one in best.run.steps)


def test_a_tap_that_comes_on_a_slow_day_alone_stays(all_wet_s: tuple[float, float]) -> None:
    """Between wet-out as planned and that of the slowest laminate."""
    as_planned_s, slowest_s = all_wet_s
    assert slowest_s > 1.1 * as_planned_s
    chosen, without, _ = played(0.5 * (as_planned_s + slowest_s))
    assert without is chosen
    assert all(one.step.label != "2" for one in chosen.run.steps)
