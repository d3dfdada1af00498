"""What a vent that is not clamped goes on drawing once all is wet, against Darcy's law in one dimension."""

from __future__ import annotations

import math
from typing import Any

import pytest

from optimiser.filling.fill_run import FillRun
from optimiser.part.sequence import Action, Step, Trigger, TriggerKind
from optimiser.part.shot import Crew
from optimiser.plan.draws_on import draws_on

LENGTH_M, CELLS = 1.0, 40


def filled(mould: Any, *clamps: Step) -> FillRun:
    """A strip with an open line at one end and a vent at the other, 0.25 Pa s under 0.9 bar."""
    part = mould.strip(LENGTH_M, CELLS, mould.laminate())
    run: FillRun = mould.fill(part, LENGTH_M / CELLS, *mould.open_at_start("0"), *clamps).run
    return run


def clamp(delay_s: float) -> Step:
    trigger = Trigger(kind=TriggerKind.REACHED, place="V", delay_s=delay_s)
    return Step(action=Action.CLAMP, label="V", trigger=trigger)


def test_a_vent_left_open_draws_what_darcy_says(mould: Any) -> None:
    """Q = K A dp / (mu L), steady, without end (Darcy's law).

    The strip fills in phi mu L2 / (2 K dp), so Q is its pore volume over twice that time.
    """
    part = mould.strip(LENGTH_M, CELLS, mould.laminate())
    network = mould.reduce(part, LENGTH_M / CELLS)
    run = filled(mould)
    assert run.runs_on is not None
    pore_m3 = float(network.volume_m3[: network.cell_count].sum())
    assert run.runs_on.flow_m3_s == pytest.approx(pore_m3 / (2 * run.wet_out_s), rel=0.03)
    assert math.isinf(run.runs_on.until_s)


def test_a_late_clamp_ends_it(mould: Any) -> None:
    """Called 300 s after resin came to the vent, which is when all is wet but for that cell."""
    late = filled(mould, clamp(300.0)).runs_on
    assert late is not None
    assert late.until_s == pytest.approx(filled(mould).wet_out_s + 300.0, rel=0.01)


def test_a_vent_clamped_in_time_draws_nothing_more(mould: Any) -> None:
    """Nor is there a way out for it."""
    assert filled(mould, clamp(0.0)).runs_on is None


def test_what_is_drawn_until_hands_have_come_to_it_is_counted(mould: Any) -> None:
    """Called as it is reached, when all is wet, and done 100 s later: meanwhile Q runs into the pot, and the line has
    given as much."""
    part = mould.strip(LENGTH_M, CELLS, mould.laminate())
    steps, crews = (*mould.open_at_start("0"), clamp(0.0)), (Crew(hands=1, action_s=each_s) for each_s in (0.0, 100.0))
    quick, slow = (mould.fill(part, LENGTH_M / CELLS, *steps, crew=crew).run for crew in crews)
    on = filled(mould).runs_on
    assert on is not None
    after_s = slow.steps[-1].done_s - slow.wet_out_s
    assert after_s == pytest.approx(100, abs=1)
    assert slow.vent_drawn_m3[0] - quick.vent_drawn_m3[0] == pytest.approx(on.flow_m3_s * after_s, rel=0.03)
    given_m3 = slow.history.injected_m3[-1] - quick.history.injected_m3[-1]
    assert given_m3 == pytest.approx(slow.vent_drawn_m3[0] - quick.vent_drawn_m3[0], rel=1e-3)
    assert slow.history.time_s[-1] == pytest.approx(slow.steps[-1].done_s)


def test_it_ends_by_gel_or_with_the_last_resin(mould: Any) -> None:
    """Flow times seconds: 100 s to gel with resin to spare; 50 s where no more is left than those take."""
    run = filled(mould)
    assert run.runs_on is not None
    flow_m3_s, drawn_m3 = run.runs_on.flow_m3_s, float(run.history.injected_m3[-1])
    by_gel = draws_on(run, resin_m3=1.0, gel_s=run.end_s + 100)
    assert by_gel is not None
    assert by_gel.drawn_m3 == pytest.approx(100 * flow_m3_s)
    assert by_gel.runs_out_s is None
    empty = draws_on(run, resin_m3=drawn_m3 + 50 * flow_m3_s, gel_s=run.end_s + 100)
    assert empty is not None
    assert (empty.drawn_m3, empty.runs_out_s) == pytest.approx((50 * flow_m3_s, run.end_s + 50))
    assert draws_on(run, resin_m3=0.9 * drawn_m3, gel_s=run.end_s + 100) is None
