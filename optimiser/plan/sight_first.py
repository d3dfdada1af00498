"""An order that goes by what the crew sees, in place of a faster one by the clock, where there is time in hand."""

from __future__ import annotations

from optimiser.plan.by_sight import goes_by_sight
from optimiser.plan.choose import Chooser, Report
from optimiser.plan.gel_judgement import judge_gel
from optimiser.plan.merit import rank
from optimiser.plan.result import Candidate, Verified
from optimiser.plan.verify import on_full, with_spread

_OF_TIME_IN_HAND = 0.1
"""So much of the time that is left from wet-out to the latest may be given for it: no gel clock is known so well.
Common practice, no source."""
_MOST_PLAYED = 3
"""On the full network, fastest first."""


def by_sight_where_time_allows(
    chooser: Chooser, chosen: Verified, verified: list[Verified], tell: Report, fraction: float
) -> Verified:
    """The fastest that holds, goes by sight and takes no more of the time in hand; what was chosen where there is
    none, or it goes by sight already.

    A tap that is turned with nothing to see at it holds only while resin and laminate are as thought. But no plan is
    slower than the shop's own sequence, where that is clean as planned. What is played for it takes its place among
    the verified.
    """
    if not chosen.holds or goes_by_sight(chosen.sequence) or chooser.patience.search_is_over:
        return chosen
    in_hand_s = judge_gel(chooser.shot, chooser.scenes.resin_clock, chooser.scenes.full, chosen.run).margin_s
    own = [one.run.wet_out_s for one in verified if one.clean and one.sequence == chooser.shot.rules.own_sequence]
    latest_s = min([chosen.run.wet_out_s + _OF_TIME_IN_HAND * max(in_hand_s, 0.0), *own])
    known = {one.sequence: one for one in verified}
    near = [one for one in chooser.candidates if _may_stand_in(one, latest_s)]
    for one in sorted(near, key=rank)[:_MOST_PLAYED]:
        played = known.get(one.sequence) or on_full(chooser, [one], chooser.limits, tell, fraction)[0]
        if played.clean and not played.spread_runs:
            played = with_spread(chooser, played, tell)
        verified[:] = [*(other for other in verified if other.sequence != played.sequence), played]
        if played.holds and played.run.wet_out_s <= latest_s:
            return played
    return chosen


def _may_stand_in(one: Candidate, latest_s: float) -> bool:
    """As played on the coarse network; one that was too slow there to be played with patchy permeability may."""
    return one.clean and one.run.wet_out_s <= latest_s and goes_by_sight(one.sequence)
