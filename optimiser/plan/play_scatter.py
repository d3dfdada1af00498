"""Sequences played in every scenario by their triggers, and what became of each: the runs themselves are not kept."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import islice
from types import MappingProxyType

from optimiser.filling.fill_run import FillRun
from optimiser.filling.many_runs import Runner, Task
from optimiser.network.flow_network import FlowNetwork
from optimiser.network.zones import Zones, divide
from optimiser.part.scatter import Scatter
from optimiser.part.sequence import Sequence as TapOrder
from optimiser.part.shot import Shot
from optimiser.plan.gel_judgement import GelJudgement, judge_gel, mixes_in_time
from optimiser.plan.rules_of_taps import broken_rule
from optimiser.plan.scatter_scenes import ScenarioScene, scenario_scene
from optimiser.plan.scenes import Scenes
from optimiser.scatter.factors import factors_of
from optimiser.scatter.scenarios import Scenario, draw_scenarios

_CELLS_AT_ONCE = 120_000
"""Of the scenarios whose networks are kept at the same time: some tens of megabytes, and worth carrying elsewhere."""
_FEWEST_AT_ONCE = 8
_BEFORE_LOOKING = 2
"""Where a sequence may be given up, so many are played for each failure that it takes, before it is looked again."""


class ShotOutcome(StrEnum):
    """The first of these that holds."""

    LOCKED = "locked"
    """A region that matters was cut off from its vents."""
    NEVER_WET = "never_wet"
    OUT_OF_ORDER = "out_of_order"
    """Against the given order, or another rule of its taps."""
    LATE = "late"
    """Wet only after the gel limit of that scenario, or a mix grew too old."""
    CLEAN = "clean"


@dataclass(frozen=True, kw_only=True)
class LockedPlace:
    """A region that matters, cut off from its vents."""

    zone: int
    """That most of it lies in."""
    x_m: float
    y_m: float


@dataclass(frozen=True, kw_only=True)
class Played:
    """What became of one sequence in one scenario."""

    outcome: ShotOutcome
    wet_out_s: float
    gel_limit_s: float
    done_s: tuple[float, ...]
    """For each step of the sequence; infinity: it never came to it."""
    locked: tuple[LockedPlace, ...]
    broken: str = ""
    """OUT_OF_ORDER: the first rule of its taps that was not kept, in words."""


@dataclass(frozen=True, kw_only=True)
class Variations:
    """What every sequence is played in. It follows from the case alone."""

    scenarios: tuple[Scenario, ...]
    zones: Zones
    """On the coarse network."""


def variations_of(shot: Shot, scatter: Scatter, scenes: Scenes) -> Variations:
    return Variations(
        scenarios=draw_scenarios(factors_of(shot, scatter), scatter.scenarios, seed=shot.search.seed),
        zones=divide(scenes.coarse, shot.part, most_zones=shot.search.most_zones),
    )


def play_scatter(
    shot: Shot,
    scatter: Scatter,
    scenes: Scenes,
    runner: Runner,
    variations: Variations,
    tap_order: TapOrder,
    tell: Callable[[float], None],
    *,
    places: Sequence[int] | None = None,
    known: Mapping[int, Played] = MappingProxyType({}),
    fewest_failures: float = math.inf,
) -> dict[int, Played]:
    """What becomes of the order on the coarse network in each scenario, by its place, whoever carries the runs.

    `tell` is called with the share that is done. places: those to play, in this order; None: all. known: what was
    played before and is not played again; it comes back too. With so many failures, those known among them, it is given
    up, and fewer come back; in the order of the scenarios they always do.
    """
    out = dict(known)
    scenarios = variations.scenarios
    order = [k for k in (range(len(scenarios)) if places is None else places) if k not in known]
    at_once = max(_FEWEST_AT_ONCE, _CELLS_AT_ONCE // scenes.coarse.cell_count)
    scene_of = (scenario_scene(shot, scatter, scenes, scenarios[k]) for k in order)
    ahead: deque[ScenarioScene] = deque()

    def build_one(_: int) -> None:
        """Of the next batch, while workers are busy with this one."""
        ahead.extend(islice(scene_of, 1 if len(ahead) < at_once else 0))

    while order:
        left = fewest_failures - len(failed_in(out))
        if left <= 0:
            break
        count = int(min(at_once, _BEFORE_LOOKING * left))
        now, order = order[:count], order[count:]
        built = [ahead.popleft() if ahead else next(scene_of) for _ in now]
        tasks = [Task(scene=k, sequence=tap_order, limits=one.limits) for k, one in enumerate(built)]
        runs = runner.run(tasks, scenes=tuple(one.scene for one in built), each=build_one)
        played = (_played(at, tap_order, run, variations.zones) for at, run in zip(built, runs, strict=True))
        out.update(zip(now, played, strict=True))
        tell(len(out) / len(scenarios))
    return {k: out[k] for k in sorted(out)}


def failed_in(played: Mapping[int, Played]) -> tuple[int, ...]:
    """Places of the variations that it does not get through, in the order in which they are held."""
    return tuple(k for k, one in played.items() if one.outcome is not ShotOutcome.CLEAN)


def _played(at: ScenarioScene, sequence: TapOrder, run: FillRun, zones: Zones) -> Played:
    done = {one.index: one.done_s for one in run.steps}
    judged, broken = judge_gel(at.shot, at.clock, at.scene.network, run), broken_rule(at.shot, sequence, run)
    outcome = _outcome(at, run, judged, broken)
    return Played(
        outcome=outcome,
        wet_out_s=run.wet_out_s,
        gel_limit_s=judged.limit_s,
        done_s=tuple(done.get(index, math.inf) for index in range(len(sequence.steps))),
        locked=tuple(_locked_places(at.scene.network, run, zones)),
        broken=broken if outcome is ShotOutcome.OUT_OF_ORDER else "",
    )


def _outcome(at: ScenarioScene, run: FillRun, judged: GelJudgement, broken: str) -> ShotOutcome:
    if any(lock.fails for lock in run.locks):
        return ShotOutcome.LOCKED
    if not math.isfinite(run.wet_out_s):
        return ShotOutcome.NEVER_WET
    if broken:
        return ShotOutcome.OUT_OF_ORDER
    if judged.margin_s < 0 or not mixes_in_time(at.shot, at.clock, run):
        return ShotOutcome.LATE
    return ShotOutcome.CLEAN


def _locked_places(network: FlowNetwork, run: FillRun, zones: Zones) -> Iterator[LockedPlace]:
    for lock in run.locks:
        cells = network.cells_of(lock.nodes)
        if lock.fails and len(cells):
            yield LockedPlace(zone=zones.of_most(cells), x_m=lock.x_m, y_m=lock.y_m)
