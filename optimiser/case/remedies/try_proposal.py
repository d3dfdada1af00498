"""Tries a change: hand-written sequences on the coarse network, the best of them as `check` plays a given one; for some
changes a plan of its own."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from optimiser.case.printed_minutes import minutes_up
from optimiser.case.reasons import gel_judgement, reasons
from optimiser.case.remedies.on_the_day import pots_that_hold
from optimiser.case.remedies.proposal import Failing, Proposal
from optimiser.case.vent_results import NO_POT_RUNS_OVER
from optimiser.filling.many_runs import RunCarrier, Runner
from optimiser.part.part import LineUse, Part
from optimiser.part.shot import Shot
from optimiser.plan.choose import Chooser
from optimiser.plan.hand_made import by_hand
from optimiser.plan.merit import Rank, rank
from optimiser.plan.plan_shot import check_shot, plan_shot
from optimiser.plan.result import Candidate, PlanResult
from optimiser.plan.scenes import scenes_of
from optimiser.plan.shop_rules import starts_as_given
from optimiser.sequencing.by_hand import ALL_AT_ONCE, Named

_MOST_SEQUENCES = 4
MOST_RUNS_EACH = 3 * (_MOST_SEQUENCES + 1) * 2 + 7
"""Each sequence coarse and on two patchy networks, once more in turn where an order is asked for; six on the full, one
on finer cells."""


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What came of a change."""

    fails: str
    """Empty: nothing, it is verified."""
    network_runs: int
    searched_runs: int = 0
    """More, in a plan of its own."""
    sequence: str = ""
    wet_out_s: float = math.inf
    limit_s: float = 0.0
    slowest_s: float = math.inf
    with_pots: Proposal | None = None
    """Larger ones, where it fails by nothing but pots that run over."""


def try_shot(
    failing: Failing, shot: Shot, *, searched: bool, workers: int | None, carrier: RunCarrier | None
) -> Outcome:
    """Verified is what has no reason against it, as in any plan.

    searched: where none of the sequences by hand will do, plan anew.
    """
    tried = _by_hand(failing, shot, workers, carrier)
    if not tried.fails or not searched:
        return tried
    planned = plan_shot(_without_extras(shot), workers=workers, carrier=carrier)
    return replace(_judged(shot, planned, by_hand_runs=tried.network_runs), searched_runs=planned.effort.network_runs)


def _by_hand(failing: Failing, shot: Shot, workers: int | None, carrier: RunCarrier | None) -> Outcome:
    scenes = scenes_of(shot)
    with Runner(scenes.all, workers=workers, carrier=carrier) as runner:
        chooser = Chooser(shot=shot, scenes=scenes, runner=runner, report=lambda *_: None)
        chooser.play(_worth_playing(failing, chooser), "trying a change", (0.0, 0.0))
        runs = runner.runs
    limit_s = scenes.resin_clock.limit_s(shot.process.gel_fraction)
    best = min(chooser.candidates, key=_merit, default=None)
    if best is None:
        return Outcome(fails="no sequence keeps the rules of the case", network_runs=runs)
    if not best.clean:
        tried = f"each of {len(chooser.candidates)} sequences tried with it"
        return Outcome(fails=f"{tried} locks air, or leaves a place dry", network_runs=runs)
    if best.run.wet_out_s > limit_s:
        return Outcome(fails=f"wet only at minute {minutes_up(best.run.wet_out_s)}", network_runs=runs)
    checked = check_shot(_without_extras(shot), best.sequence, workers=workers, carrier=carrier)
    return replace(_judged(shot, checked, by_hand_runs=runs + checked.effort.network_runs), sequence=best.name)


def _judged(shot: Shot, result: PlanResult, *, by_hand_runs: int) -> Outcome:
    """by_hand_runs: network runs of sequences by hand until then."""
    why_not = reasons(shot, result)
    only_pots = all(one.requirement == NO_POT_RUNS_OVER for one in why_not)
    return Outcome(
        with_pots=pots_that_hold(shot, result) if only_pots else None,
        fails="; ".join(f"{one.requirement}: {one.by_how_much}" for one in why_not),
        network_runs=by_hand_runs,
        sequence=result.chosen.name,
        wet_out_s=result.chosen.run.wet_out_s,
        limit_s=gel_judgement(shot, result).limit_s,
        slowest_s=max(run.wet_out_s for run in result.chosen.spread_runs),
    )


def _worth_playing(failing: Failing, chooser: Chooser) -> list[Named]:
    """The best sequence of the failing case where taps and vents are the same, all taps at once where time fails, and
    the rules of thumb: new lines first."""
    hand = by_hand(chooser.shot)
    order = [one.name for one in sorted(failing.result.tried, key=lambda one: (one.locked_m3, one.wet_out_s))]
    kept = [one for one in hand if starts_as_given(chooser.shot, one.sequence)]
    careful = [one for one in kept if one.name.startswith(("outward bay by bay", "your own"))]
    careful.sort(key=lambda one: order.index(one.name) if one.name in order else -1)
    chosen = failing.result.chosen
    same = _taps_and_vents(chooser.shot.part) == _taps_and_vents(failing.shot.part)
    own = [Named(name=chosen.name, sequence=chosen.sequence)] if same else []
    at_once = [one for one in kept if one.name == ALL_AT_ONCE and failing.late]
    return [*own, *at_once, *(one for one in careful if one.sequence != chosen.sequence)][:_MOST_SEQUENCES]


def _taps_and_vents(part: Part) -> set[tuple[str, LineUse | None]]:
    """With what each tap is there for."""
    taps = {(line.label, line.use) for line in part.feed_lines}
    return {*taps, *((vent.label, None) for vent in part.vents)}


def _merit(one: Candidate) -> tuple[bool, float, Rank]:
    return (not one.clean, one.locked_m3, rank(one))


def _without_extras(shot: Shot) -> Shot:
    """Neither mistakes nor variations of a change that nobody has made yet are asked for."""
    return replace(shot, search=replace(shot.search, mistakes=False), scatter=None)
