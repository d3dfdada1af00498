"""Plays every single mistake with the chosen sequence, coarse first, and again where the coarse cells leave doubt."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

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
    """Close steps were tried with the most harmful first: it does not hold, a mistake does more harm, or it stays clean
    in fewer variations of the day.
    """


@dataclass(frozen=True, kw_only=True)
class MistakePlayer:
    """Plays mistakes, and remembers what it has played."""

    scenes: Scenes
    runner: Runner
    limits: FillLimits
    _runs: dict[Task, FillRun] = field(default_factory=dict)

    def play(
        self,
        sequence: Sequence,
        run: FillRun,
        *,
        limit_s: float,
        each: Callable[[float], None],
        of_steps: frozenset[int] | None = None,
    ) -> PlayedMistakes:
        """One run for each mistake on the coarse network, and a few again on the full one.

        run: the sequence as it should be, on the full network. each: called with the share that is done. of_steps:
        places in the sequence; None: the mistakes of all steps.
        """
        mistakes = [one for one in mistakes_in(run.steps) if of_steps is None or one.step in of_steps]
        asked = [sequence, *(with_mistake(sequence, one) for one in mistakes)]
        base, *runs = self._run(COARSE, asked, lambda share: each(0.8 * share))
        coarse, full = self.scenes.coarse, self.scenes.full
        left_s = limit_s - run.wet_out_s
        played = [
            PlayedMistake(
                mistake=mistake,
                run=made,
                harm=harm_of(coarse, made, base, time_left_s=left_s),
                on_full=False,
            )
            for mistake, made in zip(mistakes, runs, strict=True)
        ]
        cell_m2 = float(coarse.area_m2[: coarse.cell_count].max())
        again = _doubtful(played, cell_m2=cell_m2, left_s=left_s, limit_s=limit_s)
        doubted = [with_mistake(sequence, played[k].mistake) for k in again]
        for k, made in zip(again, self._run(FULL, doubted, lambda share: each(0.8 + 0.2 * share)), strict=True):
            harm = harm_of(full, made, run, time_left_s=left_s)
            played[k] = replace(played[k], run=made, harm=harm, on_full=True)
        return PlayedMistakes(base=base, played=tuple(played))

    def _run(self, scene: int, sequences: list[Sequence], each: Callable[[float], None]) -> list[FillRun]:
        tasks = [Task(scene=scene, sequence=one, limits=self.limits) for one in sequences]
        fresh = [task for task in dict.fromkeys(tasks) if task not in self._runs]
        runs = self.runner.run(fresh, each=lambda done: each(done / len(fresh)))
        self._runs.update(zip(fresh, runs, strict=True))
        return [self._runs[task] for task in tasks]


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
