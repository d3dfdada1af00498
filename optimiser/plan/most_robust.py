"""The most robust of the near-optimal sequences: of those that hold, the one that stays clean in most variations."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from collections.abc import Sequence as SequenceOf
from dataclasses import dataclass, field, replace
from itertools import islice

from optimiser.part.scatter import Scatter
from optimiser.part.sequence import Sequence
from optimiser.plan.catch_pots import running_over
from optimiser.plan.choose import Chooser, Report
from optimiser.plan.gel_judgement import judge_gel, mixes_in_time
from optimiser.plan.merit import rank
from optimiser.plan.play_scatter import Played, failed_in, play_scatter, variations_of
from optimiser.plan.result import Candidate, Compared, Robustness, Verified
from optimiser.plan.verify import on_full, with_spread

_MOST_COMPARED = 3
"""Sequences played in all variations: each costs as many runs as there are variations."""
_COMPARED_IN = 100
"""Variations that decide between them; in what is asked for beyond that the chosen one alone is played. They come in no
order, so the first are as good as any."""
_FIRST_LOOK = 16
"""Variations in which all that compete are played before one is played in all: they come in no order."""
_ONE_MOMENT_S = 1.0
_BEFORE_VARIATIONS, _SPAN = 0.95, 0.03
"""Of the whole job, as progress is told."""


def most_robust(
    chooser: Chooser,
    fastest: Verified,
    verified: list[Verified],
    tell: Report,
) -> Robustness | None:
    """Of the sequences that hold and are near the fastest, the one that is clean in most variations; of equals the
    fastest. If none holds, what the variations say of the one given. None: the case asks for no variations.

    Where the fastest is clean in all no other can be better, and none is played. Else all are played in the first
    variations; the one that fails least there is played in all, and each of the others where the best so far fails,
    then where others failed, until it can no longer be the better one. So the choice is that of playing all in all. Of
    more variations than `_COMPARED_IN` the first so many decide; in the rest nothing is played here (`in_all`).
    What is played with the spread here takes its place among the verified.
    """
    shot, scatter = chooser.shot, chooser.shot.scatter
    if scatter is None:
        return None
    variations = variations_of(shot, scatter, chooser.scenes)
    deciding = range(min(scatter.scenarios, _COMPARED_IN))
    entrants = [_Entrant(sequence=fastest, place=0)]

    def play(one: _Entrant, places: Iterable[int], *, fewest_failures: float = math.inf) -> None:
        one.played = play_scatter(
            shot,
            scatter,
            chooser.scenes,
            chooser.runner,
            variations,
            one.sequence.sequence,
            _telling(tell, one.place, one.sequence),
            places=list(dict.fromkeys(places)),
            known=one.played,
            fewest_failures=fewest_failures,
        )

    play(entrants[0], deciding, fewest_failures=1)
    best: _Entrant | None = None
    if entrants[0].failed:
        near = _near(chooser, scatter, fastest, verified, tell)
        for place, other in enumerate(islice(near, _MOST_COMPARED - 1), start=1):
            entrants.append(_Entrant(sequence=other, place=place))
        for one in entrants:
            play(one, deciding[:_FIRST_LOOK])
        for one in sorted(entrants, key=_Entrant.worse):
            often = Counter(k for each in entrants if each is not one for k in each.failed)
            hard = () if best is None else best.failed
            may_fail = math.inf if best is None else len(best.failed) + (one.place < best.place)
            play(one, (*hard, *(k for k, _ in often.most_common()), *deciding), fewest_failures=may_fail)
            if len(one.played) == len(deciding) and (best is None or one.worse() < best.worse()):
                best = one
    chosen = best or entrants[0]
    play(chosen, deciding)
    compared = [
        Compared(sequence=one.sequence, played=tuple(one.played.values()), given_up=len(one.played) < scatter.scenarios)
        for one in entrants
    ]
    compared.sort(key=lambda one: (one.sequence is not chosen.sequence, one.given_up, -one.clean))
    holding_s = (one.run.wet_out_s for one in verified if one.holds)  # one by the clock may have been given up
    return Robustness(
        variations=variations,
        compared=tuple(compared),
        compared_in=len(deciding),
        fastest_s=min(fastest.run.wet_out_s, *holding_s, math.inf),
    )


@dataclass(kw_only=True)
class _Entrant:
    sequence: Verified
    place: int
    """Faster first."""
    played: dict[int, Played] = field(default_factory=dict)

    @property
    def failed(self) -> tuple[int, ...]:
        return failed_in(self.played)

    def worse(self) -> tuple[int, int]:
        return len(self.failed), self.place


def _played_alike(one: Verified, other: Verified) -> bool:
    """Whether it is the same order by another name: as planned each tap is turned at the same moment."""
    done, there = (
        {(each.step.label, each.step.action): each.done_s for each in sequence.run.steps} for sequence in (one, other)
    )
    return done.keys() == there.keys() and all(abs(done[key] - there[key]) < _ONE_MOMENT_S for key in done)


def replayed(chooser: Chooser, robustness: Robustness, other: Verified) -> Robustness:
    """With the chosen sequence replaced by one that differs from it by seconds, played in those that decide as long as
    it fails in no more of them."""
    failed = failed_in(dict(enumerate(robustness.chosen.played)))
    places = [*failed, *(k for k in range(robustness.compared_in) if k not in failed)]
    return _with_chosen(chooser, robustness, other, places, {}, lambda _: None, fewest_failures=len(failed) + 1)


def in_all(chooser: Chooser, robustness: Robustness, tell: Report) -> Robustness:
    """With the chosen sequence played in the variations beyond those that decided, too."""
    chosen = robustness.chosen
    known = dict(enumerate(chosen.played))
    places = range(len(robustness.variations.scenarios))
    return _with_chosen(chooser, robustness, chosen.sequence, places, known, _telling(tell, 0, chosen.sequence))


def _with_chosen(
    chooser: Chooser,
    robustness: Robustness,
    sequence: Verified,
    places: SequenceOf[int],
    known: dict[int, Played],
    tell: Callable[[float], None],
    fewest_failures: float = math.inf,
) -> Robustness:
    """Played in these variations; known: what was played of it before."""
    shot, scatter = chooser.shot, chooser.shot.scatter
    if scatter is None:
        raise AssertionError("there are variations only where the case asks for them")
    played = play_scatter(
        shot,
        scatter,
        chooser.scenes,
        chooser.runner,
        robustness.variations,
        sequence.sequence,
        tell,
        places=places,
        known=known,
        fewest_failures=fewest_failures,
    )
    chosen = Compared(sequence=sequence, played=tuple(played.values()), given_up=len(played) < scatter.scenarios)
    return replace(robustness, compared=(chosen, *robustness.compared[1:]))


def _telling(tell: Report, before: int, one: Verified) -> Callable[[float], None]:
    each = _SPAN / _MOST_COMPARED
    return lambda done: tell("playing variations", _BEFORE_VARIATIONS + each * (before + done), one.run.wet_out_s)


def _near(
    chooser: Chooser, scatter: Scatter, fastest: Verified, verified: list[Verified], tell: Report
) -> Iterator[Verified]:
    """Others that hold and are in time within the stated share of the fastest that does, faster first; then those that
    were clean and as near on the coarse network and have not been played on the full one. None that is played as the
    fastest, or one before it, is."""
    if not fastest.holds:
        return
    shot, clock, competing = chooser.shot, chooser.scenes.resin_clock, [fastest]
    latest_s = (1 + scatter.near_fraction) * fastest.run.wet_out_s

    def may_be_chosen(one: Verified) -> bool:
        in_time = judge_gel(shot, clock, chooser.scenes.full, one.run).margin_s >= 0
        may_run = one.clean and not running_over(shot.part, one.run)
        may_run = may_run and not any(_played_alike(one, other) for other in competing)
        return may_run and one.run.wet_out_s <= latest_s and in_time and mixes_in_time(shot, clock, one.run)

    order = sorted(
        range(len(verified)),
        key=lambda k: (verified[k].run.wet_out_s, len(verified[k].sequence.steps), verified[k].name),
    )
    seen = {fastest.sequence}
    for place in order:
        one = verified[place]
        if one.sequence in seen or not may_be_chosen(one):
            continue
        seen.add(one.sequence)
        if not one.spread_runs:
            one = verified[place] = with_spread(chooser, one, tell)
        if one.holds:
            competing.append(one)
            yield one
    for candidate in _near_on_coarse(chooser, scatter, seen | {one.sequence for one in verified}):
        one = on_full(chooser, [candidate], chooser.limits, tell, _BEFORE_VARIATIONS)[0]
        if may_be_chosen(one):
            one = with_spread(chooser, one, tell)
        verified.append(one)
        if one.holds and may_be_chosen(one):
            competing.append(one)
            yield one


def _near_on_coarse(chooser: Chooser, scatter: Scatter, known: set[Sequence]) -> list[Candidate]:
    best = chooser.best()
    if best is None:
        return []
    latest_s = (1 + scatter.near_fraction) * best.run.wet_out_s
    near = [one for one in chooser.candidates if one.clean and one.run.wet_out_s <= latest_s]
    return sorted((one for one in near if one.sequence not in known), key=rank)[:_MOST_COMPARED]
