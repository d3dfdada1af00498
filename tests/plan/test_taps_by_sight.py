"""Taps turned by the clock are told by what the crew sees, taps beyond a vent opened with the line before it, and which
of two sequences is better on the network is told by the levels of the zone graph.

A strip with a vent across it between lines 2 and 3: two fronts may meet there at any time, so line 3 need not wait
until resin has come past that vent (by hand: 218 s in place of 413).
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from optimiser.case.plan_document import PlanDocument, Verdict
from optimiser.case.planning import plan_case
from optimiser.case.proof_document import ProofStatus
from optimiser.case.read_case import case_from_mapping
from optimiser.filling.fill_run import FillRun
from optimiser.filling.run_carrier import run_scene
from optimiser.filling.tap_play import reached_at, wet_up_to_at
from optimiser.network.zones import divide
from optimiser.part.sequence import Sequence, TriggerKind
from optimiser.plan.by_sight import by_sight, goes_by_sight, goes_by_time, with_clocks
from optimiser.plan.graph_proof import network_agrees
from optimiser.plan.joined_moves import joined_beyond_vents, parted_by_a_vent
from optimiser.plan.merit import instead, preferred, rank
from optimiser.plan.near_lock import NearLocks
from optimiser.plan.result import Candidate, GraphProof
from optimiser.plan.scenes import COARSE, limits_of, scenes_of
from optimiser.sequencing.triggers import clamp_at_start
from optimiser.sequencing.zone_problem import LevelName, Outcome

BY_HAND_S = 217.6
"""Line 2 and line 3 both when nothing dry is left up to line 2: checked on this very strip."""
VENTS = {"V1": 20, "V2": 600, "V3": 880}


def strip(panels: Any, **layout: Any) -> dict[str, Any]:
    data = dict(panels.data(length_mm=600, cell_mm=50, coarse_cell_mm=50, rounds=4, edge_to_edge=True, **layout))
    plain = {key: value for key, value in data["vents"][0].items() if key not in ("name", "run_mm")}
    data["vents"] = [{**plain, "name": name, "run_mm": [[5, y], [595, y]]} for name, y in VENTS.items()]
    data["search"] |= {"most_zones": 60, "solver_effort": 2}
    return data


class Strip:
    """The strip, and sequences played on it."""

    def __init__(self, panels: Any, **layout: Any) -> None:
        self.shot = case_from_mapping(strip(panels, **layout)).shot
        self.scenes = scenes_of(self.shot)
        self.network = self.scenes.coarse
        self._steps = panels.sequence

    def sequence(self, **opens: dict[str, Any]) -> Sequence:
        steps = [{"action": "open", "label": label[1:], "when": when} for label, when in opens.items()]
        return self._steps([*steps, *({"action": "clamp", "label": vent, "when": {"reached": vent}} for vent in VENTS)])

    def played(self, sequence: Sequence) -> FillRun:
        return run_scene(self.scenes.all[COARSE], sequence, limits_of(self.shot, self.scenes.gel_time_s))


@pytest.fixture(scope="module")
def short(panels: Any) -> Strip:
    return Strip(panels)


START = {"start": True}


@pytest.fixture(scope="module")
def plan(panels: Any) -> PlanDocument:
    return plan_case(case_from_mapping(strip(panels, rules={"start": ["1"]})))


def test_the_plan_is_no_slower_than_what_was_found_by_hand(plan: PlanDocument) -> None:
    """Verified, by sight, and whatever it says of being best, nothing that was played and holds is faster."""
    assert plan.verdict is Verdict.VERIFIED
    assert plan.wet_out_s <= BY_HAND_S + 1
    assert all(step.trigger.kind != "clock" for step in plan.steps)
    assert plan.wet_out_s <= 1.01 * min(one.wet_out_s for one in plan.candidates if one.admissible)
    assert any("together across vents" in one.name for one in plan.candidates)


def test_the_plan_tells_each_level_and_the_gaps(plan: PlanDocument) -> None:
    """In the order of the objective, proven where value and bound meet; gaps are differences of what else is told."""
    proof = plan.proof
    names = [LevelName.WET_OUT, LevelName.MARGIN, LevelName.TAPS, LevelName.DRAWN, LevelName.EARLY]
    assert [level.name for level in proof.levels or ()] == names
    assert [level.unit for level in proof.levels or ()] == ["s", "s", "taps turned", "s", "s"]
    assert all(level.proven is (level.value == level.bound) for level in proof.levels or ())
    first = (proof.levels or [])[0]
    assert first.value == proof.graph_optimum_s
    assert proof.network_gap_s == pytest.approx(plan.wet_out_s - proof.bound_s)
    if proof.status is ProofStatus.OPTIMAL_ON_ZONE_GRAPH:
        assert proof.graph_gap_s == 0
        assert first.proven
    else:
        assert first.bound is not None
        assert proof.graph_gap_s == pytest.approx(max(0.0, plan.wet_out_s - first.bound))


@pytest.mark.parametrize(
    ("later_s", "outcome", "agrees"),
    [
        (0, Outcome.OPTIMAL, True),
        (0, Outcome.FEASIBLE, False),
        (5, Outcome.OPTIMAL, True),
        (6, Outcome.OPTIMAL, False),
        (-10, Outcome.OPTIMAL, True),
        (-28, Outcome.OPTIMAL, False),
    ],
)
def test_the_network_agrees_only_with_what_takes_as_long(
    short: Strip, later_s: float, outcome: Outcome, agrees: bool
) -> None:
    """246 s called optimal where 218 s were played is refuted; so is what the network could not play as fast. Ticks of
    5 s; a sequence on the graph is two ticks later at most."""
    proof = GraphProof(
        zone_count=9, outcome=outcome, optimum_s=246.0, agreed=False, rounds=(), ended_because="", bound_s=246.0
    )
    sequence = short.sequence(_1=START, _2={"wet_up_to": "2"}, _3={"wet_up_to": "2"})
    best = candidate("best", sequence, replace(short.played(sequence), wet_out_s=246.0 + later_s))
    assert network_agrees(proof, best, tick_s=5.0) is agrees
    assert not network_agrees(proof, None, tick_s=5.0)


def test_lines_with_a_vent_between_them_are_found(short: Strip) -> None:
    """Lines 2 and 3; not if that vent is clamped at the start."""
    sequence = short.sequence(_1=START, _2=START)
    assert parted_by_a_vent(short.network, sequence) == {frozenset(("2", "3"))}
    idle = tuple(
        replace(step, trigger=sequence.steps[0].trigger) if step.label == "V2" else step for step in sequence.steps
    )
    assert not parted_by_a_vent(short.network, replace(sequence, steps=idle))


@pytest.mark.parametrize("given_start", [False, True])
def test_a_tap_beyond_a_vent_is_opened_with_the_line_before_it(short: Strip, given_start: bool) -> None:
    """What calls for line 2 calls for line 3; beyond a line of a given start it waits for resin in that."""
    sequence = short.sequence(_1=START, _2={"wet_up_to": "2"}, _3={"wet_up_to": "3"})
    (move,) = joined_beyond_vents(short.network, "o", sequence, short.played(sequence), given_start=given_start)
    assert move.sequence == short.sequence(_1=START, _2={"wet_up_to": "2"}, _3={"wet_up_to": "2"})
    assert short.played(move.sequence).wet_out_s < 0.6 * short.played(sequence).wet_out_s
    sequence = short.sequence(_2=START, _1={"wet_up_to": "1"}, _3={"wet_up_to": "3"})
    (move,) = joined_beyond_vents(short.network, "o", sequence, short.played(sequence), given_start=given_start)
    when = {"reached": "2"} if given_start else START
    assert move.sequence == short.sequence(_2=START, _3=when, _1={"wet_up_to": "1"})
    assert not joined_beyond_vents(short.network, "o", move.sequence, short.played(move.sequence), given_start=True)


def test_a_clock_is_told_by_what_was_seen_before_it(short: Strip) -> None:
    """About when nothing dry is left up to its line: by that. Long after the last that was seen: by that and a wait."""
    seen = short.sequence(_1=START, _2={"wet_up_to": "2"}, _3={"wet_up_to": "2"})
    at_s = wet_up_to_at(short.network, "2", 1.0, short.played(seen).arrival_s)
    clock = short.sequence(_1=START, _2={"clock_s": round(at_s) + 4}, _3={"clock_s": round(at_s) + 60})
    told = by_sight(short.network, "o", clock, short.played(clock))
    assert told is not None
    assert goes_by_sight(told.sequence)
    second, third = (next(step for step in told.sequence.steps if step.label == label) for label in "23")
    assert (second.trigger.kind, second.trigger.place, second.trigger.delay_s) == (TriggerKind.WET_UP_TO, "2", 0)
    assert (third.trigger.kind, third.trigger.place, third.trigger.delay_s) == (TriggerKind.WET_UP_TO, "2", 60)
    assert short.played(told.sequence).wet_out_s == pytest.approx(short.played(clock).wet_out_s, rel=0.03)
    assert by_sight(short.network, "o", seen, short.played(seen)) is None
    long = short.sequence(_1=START, _2={"wet_up_to": "2"}, _3={"clock_s": round(at_s) + 300})
    waits = by_sight(short.network, "o", long, short.played(long))
    assert waits is None or max(step.trigger.delay_s for step in waits.sequence.steps) <= 120
    assert not goes_by_sight(short.sequence(_1=START, _2={"wet_up_to": "2", "delay_s": 300}))
    early = short.sequence(_1=START, _2={"clock_s": 0})
    assert by_sight(short.network, "o", early, short.played(early)) is None


def test_nobody_looks_at_a_vent_that_is_clamped(short: Strip) -> None:
    """A minute after resin stood in the first vent; where that was clamped at the start it calls for nothing."""
    alone = short.played(short.sequence(_1=START))
    at_s = reached_at(short.network, "V1", 1.0, alone.arrival_s)
    clock = short.sequence(_1=START, _2={"clock_s": round(at_s) + 60})
    told = by_sight(short.network, "o", clock, short.played(clock))
    assert told is not None
    assert {step.trigger.place for step in told.sequence.steps if step.label == "2"} == {"V1"}
    start = clock.steps[0].trigger
    steps = tuple(replace(step, trigger=start) if step.label == "V1" else step for step in clock.steps)
    idle = replace(clock, steps=steps)
    other = by_sight(short.network, "o", idle, short.played(idle))
    assert other is None or all(step.trigger.place != "V1" for step in other.sequence.steps)


def test_clocks_and_waits_are_stretched_together(short: Strip) -> None:
    """Sight is left as it is."""
    sequence = short.sequence(_1=START, _2={"clock_s": 100}, _3={"reached": "2", "delay_s": 20})
    later = with_clocks(sequence, 1.25)
    assert [step.trigger.at_s for step in later.steps[:3]] == [None, 125, None]
    assert [step.trigger.delay_s for step in later.steps[:3]] == [0, 0, 25]
    assert goes_by_time(sequence)
    assert not goes_by_time(short.sequence(_1=START, _2={"reached": "2"}))


def candidate(name: str, sequence: Sequence, run: FillRun, margin_s: float = 0.0) -> Candidate:
    return Candidate(name=name, sequence=sequence, run=run, patchy_runs=(), broken="", margin_s=margin_s)


def test_better_on_the_network_is_what_the_levels_say(short: Strip) -> None:
    """Wet-out to the second; then margin; then fewer taps; fewer vents; less drawn. Each beats all after it."""
    few = short.sequence(_1=START, _2={"wet_up_to": "2"}, _3={"wet_up_to": "2"})
    many = replace(few, steps=(*few.steps, few.steps[0]))
    idle = replace(few, steps=(*few.steps, clamp_at_start("V9")))
    many_idle = replace(idle, steps=(*idle.steps, few.steps[0]))
    run = short.played(few)
    less = replace(run, vent_drawn_m3=run.vent_drawn_m3 / 2)
    later = replace(run, wet_out_s=run.wet_out_s + 2)
    in_order = [
        candidate("d", many, run, 9.0),
        candidate("f", idle, run, 5.0),
        candidate("c", few, less, 5.0),
        candidate("b", few, run, 5.0),
        candidate("A", many_idle, less, 5.0),
        candidate("e", many, less, 5.0),
        candidate("a", few, less, 4.0),
        candidate("0", few, replace(later, vent_drawn_m3=0 * run.vent_drawn_m3), 99.0),
    ]
    assert sorted(sorted(in_order, key=lambda one: one.name), key=rank) == in_order


def test_sight_stands_in_for_a_clock_that_is_as_fast(short: Strip) -> None:
    """Within a hundredth; not beyond it, and not the other way round."""
    seen = short.sequence(_1=START, _2={"wet_up_to": "2"}, _3={"wet_up_to": "2"})
    run = short.played(seen)
    clock = candidate("clock", short.sequence(_1=START, _2={"clock_s": 150}, _3={"clock_s": 150}), run)
    near = candidate("near", seen, replace(run, wet_out_s=1.009 * run.wet_out_s))
    far = candidate("far", seen, replace(run, wet_out_s=1.011 * run.wet_out_s))
    assert preferred([clock, far, near]) is near
    assert preferred([clock, far]) is clock
    assert preferred([]) is None
    assert instead(near, clock)
    assert not instead(clock, near)


def test_the_margin_of_a_run_is_until_the_last_neighbour_is_wet(short: Strip) -> None:
    """By the definition, zone by zone; 0 where not all gets wet, wet-out where every zone has a vent."""
    zones = divide(short.network, short.shot.part, most_zones=12)
    near = NearLocks.of(short.network, zones)
    run = short.played(short.sequence(_1=START, _2={"wet_up_to": "2"}, _3={"wet_up_to": "2"}))
    cells = short.network.latest(run.arrival_s)
    wet = [float(cells[zones.zone_of_cell == zone].max()) for zone in range(zones.count)]
    dry = [zone for zone in range(zones.count) if not near.vents[zone]]
    assert dry
    assert near.margin_s(run) == min(max(wet[other] - wet[zone] for other in near.beside[zone]) for zone in dry)
    assert near.margin_s(run) > 0
    assert near.margin_s(replace(run, arrival_s=np.where(run.arrival_s > 100, np.inf, run.arrival_s))) == 0
    everywhere = replace(near, vents=tuple(frozenset({"V1"}) for _ in near.vents))
    assert everywhere.margin_s(run) == run.wet_out_s
