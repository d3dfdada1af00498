"""The most robust of the near-optimal sequences: of those that hold, the one that stays clean in most variations."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import chain

from optimiser.part.scatter import Scatter
from optimiser.part.sequence import Sequence
from optimiser.plan.choose import Chooser, Report
from optimiser.plan.gel_judgement import judge_gel, mixes_in_time
from optimiser.plan.play_scatter import ShotOutcome, play_scatter, variations_of
from optimiser.plan.result import Compared, Robustness, Verified
from optimiser.plan.verify import with_spread

_MOST_COMPARED = 4
"""Sequences played in all variations: each costs as many runs as there are variations."""
_SPAN = 0.03
"""Of the whole job, as progress is told."""


def most_robust(
    chooser: Chooser,
    fastest: Verified,
    verified: list[Verified],
    tell: Report,
    *,
    instead_of: Sequence | None = None,
) -> Robustness | None:
    """Of the sequences that hold and are near the fastest, the one that is clean in most variations; of equals the
    fastest. If none holds, what the variations say of the one given. None: the case asks for no variations.

    Faster ones are played first, and once one is clean in all no other can be better, so no other is played. Each is
    played first where the best so far fails, then where others failed, and given up once it can no longer be clean more
    often. What is played with the spread here takes its place among the verified. instead_of: of those the one that
    `fastest` stands for.
    """
    shot, scatter = chooser.shot, chooser.shot.scatter
    if scatter is None:
        return None
    variations = variations_of(shot, scatter, chooser.scenes)
    compared: list[Compared] = []
    failed: tuple[int, ...] = ()
    fewest = math.inf
    often: Counter[int] = Counter()
    for one in chain([fastest], _near(chooser, scatter, fastest, verified, tell)):
        if one is not fastest and one.sequence == instead_of:
            continue
        played = play_scatter(
            shot,
            scatter,
            chooser.scenes,
            chooser.runner,
            variations,
            one.sequence,
            _telling(tell, len(compared), one),
            first=(*failed, *(k for k, _ in often.most_common())),
            fewest_failures=fewest,
        )
        compared.append(
            Compared(sequence=one, played=tuple(played.values()), given_up=len(played) < scatter.scenarios)
        )
        fails = tuple(k for k, each in played.items() if each.outcome is not ShotOutcome.CLEAN)
        often.update(fails)
        if not compared[-1].given_up:
            failed, fewest = (fails, len(fails)) if len(fails) < fewest else (failed, fewest)
        if fewest == 0 or len(compared) == _MOST_COMPARED:
            break
    compared.sort(key=lambda one: (one.given_up, -one.clean))  # stable: of equals the faster stays first
    return Robustness(variations=variations, compared=tuple(compared), fastest_s=fastest.run.wet_out_s)


def replayed(chooser: Chooser, robustness: Robustness, other: Verified) -> Robustness:
    """With the chosen sequence replaced by one that differs from it by seconds, played in the same variations."""
    shot, scatter = chooser.shot, chooser.shot.scatter
    if scatter is None:
        raise AssertionError("there are variations only where the case asks for them")
    played = play_scatter(
        shot, scatter, chooser.scenes, chooser.runner, robustness.variations, other.sequence, lambda _: None
    )
    chosen = Compared(sequence=other, played=tuple(played.values()), given_up=False)
    return replace(robustness, compared=(chosen, *robustness.compared[1:]))


def _telling(tell: Report, before: int, one: Verified) -> Callable[[float], None]:
    each = _SPAN / _MOST_COMPARED
    return lambda done: tell("playing variations", 0.95 + each * (before + done), one.run.wet_out_s)


def _near(
    chooser: Chooser, scatter: Scatter, fastest: Verified, verified: list[Verified], tell: Report
) -> Iterator[Verified]:
    """Others that hold and are in time within the stated share of the fastest that does, faster first."""
    if not fastest.holds:
        return
    shot, clock = chooser.shot, chooser.scenes.resin_clock
    latest_s = (1 + scatter.near_fraction) * fastest.run.wet_out_s
    order = sorted(
        range(len(verified)),
        key=lambda k: (verified[k].run.wet_out_s, len(verified[k].sequence.steps), verified[k].name),
    )
    seen = {fastest.sequence}
    for place in order:
        one = verified[place]
        if one.run.wet_out_s > latest_s:
            return
        in_time = judge_gel(shot, clock, chooser.scenes.full, one.run).margin_s >= 0
        if one.sequence in seen or not one.clean or not in_time or not mixes_in_time(shot, clock, one.run):
            continue
        seen.add(one.sequence)
        if not one.spread_runs:
            one = verified[place] = with_spread(chooser, one, tell)
        if one.holds:
            yield one
