"""What each line does alone, brought onto zones."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from optimiser.filling.fluidity_time import FluidityClock
from optimiser.filling.many_runs import Runner, Task
from optimiser.filling.simulate import FillLimits
from optimiser.network.zone_graph import build_zone_graph
from optimiser.network.zones import Zones, divide
from optimiser.part.sequence import Action, Sequence
from optimiser.plan.line_arrivals import LineArrivals, zone_problem
from optimiser.plan.scenes import COARSE, scenes_of
from optimiser.sequencing.triggers import open_at_start
from optimiser.sequencing.verify import zone_times
from optimiser.sequencing.zone_problem import NEVER, ZoneProblem

FRESH = FluidityClock.of_constant_viscosity(0.25)
AT_M = (0.5, 1.5)
"""Two lines across a strip of 2 m, each a quarter of it from its end; mirror images."""


@pytest.fixture(scope="module")
def strip(mould: Any) -> Any:
    """The arrivals from each line alone, and the run of both together."""
    vents = (mould.vent("W", (0.0, 0.0), (0.0, 0.1)),)
    part = mould.strip(2.0, 20, mould.laminate(), lines_at_m=AT_M, vents=vents)
    network = mould.reduce(part, 0.1)
    alone = {k: mould.fill_network(network, *mould.open_at_start(str(k))) for k in range(2)}
    both = mould.fill_network(network, *mould.open_at_start("0", "1"))
    return network, alone, both


def quarters(network: Any) -> Zones:
    """Four zones of half a metre, in order along the strip."""
    zone = np.minimum((network.x_m[: network.cell_count] / 0.5).astype(np.int64), 3)
    return Zones(names=("a", "b", "c", "d"), zone_of_cell=zone)


def test_a_zone_is_wet_when_its_last_cell_is(strip: Any) -> None:
    """Line by line, the latest arrival among the cells of the zone."""
    network, alone, _ = strip
    on_zones = LineArrivals.from_runs(network, alone, FRESH).on_zones(quarters(network))
    for line, run in alone.items():
        for zone in range(4):
            cells = np.flatnonzero(quarters(network).zone_of_cell == zone)
            assert on_zones[line, zone] == run.arrival_s[cells].max()


def test_mirrored_lines_have_mirrored_arrivals(strip: Any) -> None:
    """Zone by zone from the left for line 0 as from the right for line 1, to the slack of a step of the front."""
    network, alone, _ = strip
    on_zones = LineArrivals.from_runs(network, alone, FRESH).on_zones(quarters(network))
    assert on_zones[0] == pytest.approx(on_zones[1][::-1], rel=1e-3)


def test_the_second_line_is_reached_by_the_law_of_the_strip(strip: Any) -> None:
    """t = phi mu L^2 / (2 K dp) for 1 m of the strip (Darcy, constant pressure), as resin from line 0 runs to line 1.

    Porosity 0.5, 0.25 Pa s, K 1e-9 m2, 90 kPa: 694 s. Resin runs both ways at first, and a cell is 0.1 m: 15 %.
    """
    network, alone, _ = strip
    arrivals = LineArrivals.from_runs(network, alone, FRESH)
    reached = arrivals.reached_s({"0": 0.0})
    assert reached["1"] == pytest.approx(0.5 * 0.25 * 1.0**2 / (2 * 1e-9 * 9e4), rel=0.15)
    assert reached["0"] == np.inf, "no other line is open"


def test_a_line_opened_later_is_expected_to_reach_later_by_as_much(strip: Any) -> None:
    """Times from the opening of the line that feeds."""
    network, alone, _ = strip
    arrivals = LineArrivals.from_runs(network, alone, FRESH)
    early, late = (arrivals.reached_s({"0": at, "1": 0.0})["1"] for at in (0.0, 100.0))
    assert late - early == pytest.approx(100.0)


def test_a_line_opened_late_is_expected_with_resin_as_thick_as_it_then_is(mould: Any) -> None:
    """Viscosity that grows e-fold in an hour, the line opened at minute 15: a zone is wet when the network has it so.

    0.2 % of the time; as resin of the first tap it would be wet a third too soon.
    """
    thickening = FluidityClock.of_viscosities(*_growing(e_fold_s=3600.0))
    network = mould.reduce(mould.strip(2.0, 20, mould.laminate()), 0.1)
    alone = mould.fill_network(network, *mould.open_at_start("0"), clock=thickening)
    late = mould.fill_network(network, mould.at_clock(Action.OPEN, "0", 900.0), clock=thickening)
    arrivals = LineArrivals.from_runs(network, {0: alone}, thickening)
    takes_s = arrivals.on_zones(quarters(network))[0, 1]
    wet_s = late.arrival_s[: network.cell_count][quarters(network).zone_of_cell == 1].max()
    opened_s = thickening.as_fresh_s(0.0, 900.0)
    assert thickening.lasting_s(0.0, opened_s + takes_s) == pytest.approx(wet_s, rel=2e-3)
    assert takes_s < 0.7 * (wet_s - 900.0)
    arrivals.learn(late)
    assert arrivals.on_zones(quarters(network))[0, 1] == pytest.approx(takes_s, rel=5e-3)


def _growing(*, e_fold_s: float) -> tuple[np.ndarray, np.ndarray]:
    time_s = np.linspace(0.0, 2e4, 2001)
    return time_s, 0.25 * np.exp(time_s / e_fold_s)


def test_lines_together_correct_what_one_alone_would_take(strip: Any) -> None:
    """After a run of both, the line that wets a zone first has the time that the run saw; no time grew."""
    network, alone, both = strip
    arrivals, zones = LineArrivals.from_runs(network, alone, FRESH), quarters(network)
    before = arrivals.on_zones(zones)
    arrivals.learn(both)
    after = arrivals.on_zones(zones)
    assert (after <= before).all()
    for zone in range(4):
        seen = both.arrival_s[: network.cell_count][zones.zone_of_cell == zone].max()
        assert after[:, zone].min() == pytest.approx(seen)


@pytest.fixture(scope="module")
def problem(panels: Any) -> tuple[Any, ZoneProblem, LineArrivals, Any, Any]:
    """A panel's case as a zone problem, from runs of each line alone on the coarse network."""
    shot = panels.case(rules={"start": ["2"], "order": ["3", "1"]}, uses={"3": "required"}).shot
    scenes = scenes_of(shot)
    limits = FillLimits(longest_s=5e4, smallest_lock_m2=float("inf"))
    tasks = [Task(scene=COARSE, sequence=Sequence(steps=(open_at_start(k),)), limits=limits) for k in "123"]
    with Runner(scenes.all, workers=1) as runner:
        runs = dict(enumerate(runner.run(tasks)))
    arrivals = LineArrivals.from_runs(scenes.coarse, runs, scenes.resin_clock.fluidity)
    zones = divide(scenes.coarse, shot.part, most_zones=12)
    graph = build_zone_graph(scenes.coarse, zones, pressure_pa=98800.0, viscosity_pa_s=scenes.viscosity_pa_s)
    return shot, zone_problem(shot, arrivals, zones, graph, (), horizon_s=400.0), arrivals, zones, graph


def test_rules_and_crew_become_numbers_of_the_problem(problem: Any) -> None:
    """Labels to line numbers; one person, 15 s a tap, is three ticks of 5 s; 400 s are 80 ticks."""
    _, made, *_ = problem
    assert (made.start, made.order, made.required, made.forbidden) == ({1}, (2, 0), {2}, frozenset())
    assert (made.hands, made.action, made.horizon) == (1, 3, 80)


def test_arrivals_are_rounded_up_and_left_out_beyond_the_horizon(problem: Any) -> None:
    """No tick lies before its time, none a tick or more after it."""
    shot, made, arrivals, zones, _ = problem
    table, tick = arrivals.on_zones(zones), shot.search.tick_s
    for line, row in enumerate(made.arrival):
        for zone, ticks in enumerate(row):
            if table[line, zone] > 400.0:
                assert ticks == NEVER
            else:
                assert 0 <= ticks * tick - table[line, zone] < tick


def test_a_zone_drains_by_the_spread_s_share_of_the_flow_time(problem: Any) -> None:
    """25 % of the time between two zones, rounded up to ticks, and never less than one."""
    shot, made, _, _, graph = problem
    for zone, neighbours in enumerate(made.neighbours):
        assert set(neighbours) == set(graph[zone])
        for other, margin in neighbours.items():
            wanted_s = 0.25 * graph[zone][other]["flow_s"]
            assert margin >= 1
            assert margin * shot.search.tick_s >= wanted_s - 1e-6
            assert margin == 1 or (margin - 1) * shot.search.tick_s < wanted_s


def test_a_capped_supply_bounds_the_problem_by_what_the_sheet_holds(problem: Any) -> None:
    """V / Q in whole ticks, rounded down: by no time sooner can all be wet. Without a cap there is no bound."""
    shot, made, arrivals, zones, graph = problem
    network, flow_m3_s = arrivals.network, 1e-5
    capped = replace(shot, supply=replace(shot.supply, most_flow_m3_s=flow_m3_s))
    bound = zone_problem(capped, arrivals, zones, graph, (), horizon_s=400.0).supplied
    filled_s = network.volume_m3[: network.sheet_count].sum() / flow_m3_s
    assert 0 <= filled_s - bound * shot.search.tick_s < shot.search.tick_s
    assert bound > 0
    assert made.supplied == 0


def test_zones_of_the_problem_are_wet_no_sooner_than_the_network_says(problem: Any) -> None:
    """One line alone: the tick of each zone is at or after the last cell of it."""
    shot, made, arrivals, zones, _ = problem
    for line in range(made.line_count):
        for zone, ticks in enumerate(zone_times(made, {line: 0})):
            if ticks is not None:
                cells = arrivals.cell_s[line][zones.zone_of_cell == zone]
                assert ticks * shot.search.tick_s >= cells.max() - 1e-6
