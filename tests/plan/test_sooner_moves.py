"""Taps turned before resin is there: only where nothing that waits for it holds, and told by sight where it can.

Expected: two fronts that run towards each other are sooner done than one that runs all the way (parallel_lines).
"""

from __future__ import annotations

from typing import Any

import pytest

from optimiser.case.plan_document import PlanDocument, Verdict
from optimiser.case.planning import plan_case
from optimiser.case.read_case import case_from_mapping
from optimiser.filling.run_carrier import run_scene
from optimiser.filling.tap_play import reached_at
from optimiser.part.sequence import Action, Sequence, Step, Trigger, TriggerKind
from optimiser.plan.by_sight import goes_by_sight
from optimiser.plan.scenes import COARSE, limits_of, scenes_of
from optimiser.plan.sooner_moves import SHARES, sooner_moves

TAPS = ("1", "2", "3")


def planned(panels: Any, gel_min: float) -> PlanDocument:
    """Three lines, vents on the edges, nothing scatters; by sight it is wet after 269 s, 70 % of the gel time count."""
    data = panels.data(rounds=1)
    for vent, y_mm in zip(data["vents"], (0, 900), strict=True):
        vent["run_mm"] = [[0, y_mm], [1200, y_mm]]
    data["process"] |= {"permeability_spread_percent": 0, "permeability_patchy_percent": 0}
    data["resin"]["gel_time_points"] = [{"temperature_c": 20, "initiator_percent": 1.5, "gel_time_min": gel_min}]
    return plan_case(case_from_mapping(data))


def test_a_tap_waits_for_resin_where_there_is_time(panels: Any) -> None:
    """No clock, though two minutes in place of four could be had."""
    plan = planned(panels, 60)
    assert plan.verdict is Verdict.VERIFIED
    assert all(step.trigger.kind != "clock" for step in plan.steps)
    assert not any("% of that" in one.name for one in plan.candidates)


def test_where_nothing_that_waits_is_in_time_taps_are_turned_sooner(panels: Any) -> None:
    """Clean, and wet before the limit that bay by bay misses."""
    plan = planned(panels, 5.5)
    assert plan.verdict is Verdict.VERIFIED
    (waiting,) = [one for one in plan.candidates if one.name == "outward bay by bay from 2"]
    assert plan.wet_out_s < plan.gel_limit_s < waiting.wet_out_s
    assert any(step.trigger.kind == "clock" for step in plan.steps)


@pytest.fixture(scope="module")
def shot(panels: Any) -> Any:
    return case_from_mapping(panels.data()).shot


def test_moves_turn_each_tap_at_a_share_of_the_time_of_its_line(panels: Any, shot: Any) -> None:
    """Those of the start stay; the others by the clock, at 85 and 70 % of what resin or the call took."""
    scenes, sequence = scenes_of(shot), panels.sequence(panels.outward(TAPS, ("2",)))
    run = run_scene(scenes.all[COARSE], sequence, limits_of(shot, scenes.gel_time_s))
    moves = sooner_moves(scenes.coarse, "outward", sequence, run)
    assert len(moves) == len(SHARES)
    for share, move in zip(SHARES, moves, strict=True):
        for before, after in zip(sequence.steps, move.sequence.steps, strict=True):
            assert (before.label, before.action) == (after.label, after.action)
            if before.action is Action.OPEN and before.trigger.kind is not TriggerKind.START:
                called_s = next(one.called_s for one in run.steps if one.step == before)
                there_s = min(called_s, reached_at(scenes.coarse, before.label, 1.0, run.arrival_s))
                assert after.trigger.kind is TriggerKind.CLOCK
                assert after.trigger.at_s == pytest.approx(share * there_s, abs=0.5)
            else:
                assert after == before
    assert not goes_by_sight(moves[0].sequence)


def test_a_sequence_that_closes_a_tap_is_left_as_it_is(panels: Any, shot: Any) -> None:
    """When it is closed rests on what was open before."""
    scenes, sequence = scenes_of(shot), panels.sequence(panels.outward(TAPS, ("2",)))
    run = run_scene(scenes.all[COARSE], sequence, limits_of(shot, scenes.gel_time_s))
    close = Step(action=Action.CLOSE, label="2", trigger=Trigger(kind=TriggerKind.REACHED, place="1"))
    assert sooner_moves(scenes.coarse, "closed", Sequence(steps=(*sequence.steps, close)), run) == []
