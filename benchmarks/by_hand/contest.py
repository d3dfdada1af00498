"""One layout: the product's own choice, and each rule by hand played on the same network and in the same spread."""

from __future__ import annotations

import os
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from typing import Any

from benchmarks.by_hand.hull_like import hull_like
from benchmarks.by_hand.outcome import Outcome, outcome_of, why_worse
from benchmarks.by_hand.rules import sequences_of
from cases import demo_case_path
from optimiser.case.read_case import Case, case_from_mapping, read_case
from optimiser.filling.fill_run import FillRun
from optimiser.filling.many_runs import Scene, run_scene, usable_cores
from optimiser.part.sequence import Sequence
from optimiser.part.shot import Shot
from optimiser.plan.plan_shot import plan_shot
from optimiser.plan.result import Verified
from optimiser.plan.rules_of_taps import broken_in_any, broken_rule
from optimiser.plan.scenes import FULL, SPREADS, Scenes, limits_of
from optimiser.worker_process import begin_worker, worker_context


@dataclass(frozen=True, kw_only=True)
class Contest:
    layout: str
    cells: int
    taps: int
    chosen: str
    """Name of the sequence that is the product's choice."""
    ours: Outcome
    rules: dict[str, Outcome]
    told: dict[str, Outcome]
    """Ours once more where it is worse than a rule, with that rule's sequence given to it as the shop's own."""

    @property
    def violations(self) -> list[str]:
        """One sentence for each rule that ours is worse than; empty as it should be."""
        return [
            f"{self.layout}: ours ({self.ours}) {how} {rule} ({outcome}); told it as the shop's own: {self.told[rule]}"
            for rule, outcome in self.rules.items()
            if (how := why_worse(self.ours, outcome))
        ]


def contest_of(name: str, case: Case) -> Contest:
    """Single mistakes, variations and remedies are left out: none of them changes which sequence is safe."""
    shot = replace(case.shot, search=replace(case.shot.search, mistakes=False), scatter=None)
    result = plan_shot(shot, workers=1)
    scenes = result.scenes
    ours = outcome_of(shot, scenes, result.chosen)
    rules = {
        rule: min((_tried(shot, scenes, rule, one) for one in sequences), key=lambda tried: tried[0].merit)
        for rule, sequences in sequences_of(shot, scenes).items()
    }
    return Contest(
        layout=name,
        cells=scenes.full.cell_count,
        taps=len(shot.part.feed_lines),
        chosen=result.chosen.name,
        ours=ours,
        rules={rule: outcome for rule, (outcome, _) in rules.items()},
        told={rule: _ours_told(shot, own) for rule, (outcome, own) in rules.items() if why_worse(ours, outcome)},
    )


def _tried(shot: Shot, scenes: Scenes, rule: str, sequence: Sequence) -> tuple[Outcome, Sequence]:
    return outcome_of(shot, scenes, played(shot, scenes, rule, sequence)), sequence


def _ours_told(shot: Shot, own: Sequence) -> Outcome:
    told = replace(shot, rules=replace(shot.rules, own_sequence=own))
    result = plan_shot(told, workers=1)
    return outcome_of(told, result.scenes, result.chosen)


def played(shot: Shot, scenes: Scenes, name: str, sequence: Sequence) -> Verified:
    """On the full network, and where it is clean as planned in the stated spread and on finer cells: as ours was."""

    def play(scene: Scene) -> FillRun:
        return run_scene(scene, sequence, limits_of(shot, scenes.gel_time_s))

    run = play(scenes.all[FULL])
    spread = tuple(play(scenes.all[place]) for place in SPREADS) if run.clean else ()
    finer = play(scenes.finer) if run.clean and scenes.finer is not None else None
    return Verified(
        name=name,
        sequence=sequence,
        run=run,
        spread_runs=spread,
        broken=broken_rule(shot, sequence, run),
        broken_in_spread=broken_in_any(shot, sequence, spread),
        finer_run=finer,
        broken_on_finer="" if finer is None else broken_rule(shot, sequence, finer),
    )


def contests(demos: list[str], seed: int, layouts: int) -> Iterator[Contest]:
    """In this order, one layout on each core at a time."""
    asked: list[tuple[str, int, int]] = [(name, 0, 0) for name in demos]
    asked += [("", seed, number) for number in range(1, layouts + 1)]
    with ProcessPoolExecutor(
        usable_cores(), mp_context=worker_context(), initializer=begin_worker, initargs=(os.getpid(),)
    ) as pool:
        yield from pool.map(_contest, asked)


def _contest(asked: tuple[str, int, int]) -> Contest:
    demo, seed, number = asked
    if demo:
        return contest_of(demo, read_case(demo_case_path(demo)))
    document: dict[str, Any] = hull_like(seed, number)
    return contest_of(document["name"], case_from_mapping(document))

