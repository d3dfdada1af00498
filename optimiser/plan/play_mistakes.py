"""Plays every single mistake with the chosen sequence, coarse first, and again where the coarse cells leave doubt."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from optimiser.filling.fill_run import FillRun
from optimiser.filling.many_runs import Runner, Task
from optimiser.filling.simulate import FillLimits
from optimiser.part.sequence import Sequence
from optimiser.plan.harm import Harm, harm_of
from optimiser.plan.mistakes import Mistake, mistakes_in, with_mistake
from optimiser.plan.scenes import COARSE, FULL, Scenes

_MOST_ON_FULL = 4
_FEW_CELLS = 4.0
"""A lock of up to so many coarse cells is believed only after a run on the full network."""
_NEAR_LIMIT = 0.05
"""So is a wet-out that misses or keeps the gel limit by less than this share of it."""


@dataclass(frozen=True, kw_only=True)
class PlayedMistake:
    mistake: Mistake
    run: FillRun
    harm: Harm
    on_full: bool


@dataclass(frozen=True, kw_only=True)
class PlayedMistakes:
    base: FillRun
    """The sequence as it should be, on the coarse network."""
    played: tuple[PlayedMistake, ...]
    """In the order of the steps."""
    order_refused: bool = False
    """Close steps were tried with the most harmful first: it does not hold, or a mistake does more harm."""


def play_mistakes(
    scenes: Scenes,
    runner: Runner,
    sequence: Sequence,
    run: FillRun,
    *,
    limit_s: float,
    limits: FillLimits,
    each: Callable[[float], None],
) -> PlayedMistakes:
    """One run for each mistake on the coarse network, and a few again on the full one.

    run: the sequence as it should be, on the full network. each: called with the share that is done.
    """
    mistakes = list(mistakes_in(run.steps))
    asked = [sequence, *(with_mistake(sequence, one) for one in mistakes)]
    base, *runs = runner.run(
        [Task(scene=COARSE, sequence=one, limits=limits) for one in asked],
        each=lambda done: each(0.8 * done / len(asked)),
    )
    left_s = limit_s - run.wet_out_s
    played = [
        PlayedMistake(
            mistake=mistake,
            run=made,
            harm=harm_of(scenes.coarse, made, base, time_left_s=left_s),
            on_full=False,
        )
        for mistake, made in zip(mistakes, runs, strict=True)
    ]
    cell_m2 = float(scenes.coarse.area_m2[: scenes.coarse.cell_count].max())
    again = _doubtful(played, cell_m2=cell_m2, left_s=left_s, limit_s=limit_s)
    finer = runner.run(
        [Task(scene=FULL, sequence=with_mistake(sequence, played[k].mistake), limits=limits) for k in again],
        each=lambda done: each(0.8 + 0.2 * done / len(again)),
    )
    for k, made in zip(again, finer, strict=True):
        harm = harm_of(scenes.full, made, run, time_left_s=left_s)
        played[k] = replace(played[k], run=made, harm=harm, on_full=True)
    return PlayedMistakes(base=base, played=tuple(played))


def worst_of_each_step(played: tuple[PlayedMistake, ...]) -> dict[int, PlayedMistake]:
    """By the place of the step in the sequence; of equally bad ones the first played."""
    worst: dict[int, PlayedMistake] = {}
    for one in played:
        before = worst.get(one.mistake.step)
        if before is None or one.harm.rank > before.harm.rank:
            worst[one.mistake.step] = one
    return worst


def _doubtful(played: list[PlayedMistake], *, cell_m2: float, left_s: float, limit_s: float) -> list[int]:
    """Of the worst of each step, those whose verdict hangs on a few coarse cells or a few minutes; smallest first."""
    worst = worst_of_each_step(tuple(played)).values()
    near = []
    for k, one in enumerate(played):
        area_m2 = sum(lock.area_m2 for lock in one.run.locks if lock.fails)
        few = 0 < area_m2 < _FEW_CELLS * cell_m2
        close = area_m2 == 0 and abs(one.harm.later_s - left_s) < _NEAR_LIMIT * limit_s
        if any(one is other for other in worst) and (few or close):
            near.append((area_m2, k))
    return [k for _, k in sorted(near)[:_MOST_ON_FULL]]
