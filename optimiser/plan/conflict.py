"""Where nothing is admissible: which of the user's own demands the zone graph cannot keep together."""

from __future__ import annotations

import math

from optimiser.part.part import LineUse
from optimiser.part.sequence import Action
from optimiser.plan.catch_pots import running_over
from optimiser.plan.choose import Chooser
from optimiser.plan.gel_judgement import judge_gel, mixes_in_time
from optimiser.plan.in_time import margin_on_finer_s
from optimiser.plan.line_arrivals import LineArrivals
from optimiser.plan.result import Verified
from optimiser.sequencing.conflict import find_conflict
from optimiser.sequencing.conflict_found import Conflict
from optimiser.sequencing.verify import zone_times
from optimiser.sequencing.zone_problem import ZoneProblem, ticks_up

_HORIZON = 2.0
"""Sequences are looked for up to so many gel limits or slowest lines alone, whichever is later."""


def admissible(chooser: Chooser, one: Verified) -> bool:
    """Clean in the spread and on finer cells, in order, and in time, with no pot that runs over."""
    shot, scenes = chooser.shot, chooser.scenes
    judged = judge_gel(shot, scenes.resin_clock, scenes.full, one.run)
    in_time = judged.margin_s >= 0 and margin_on_finer_s(scenes, one) >= 0
    dry_pump = not running_over(shot.part, one.run)
    return one.holds and in_time and dry_pump and mixes_in_time(shot, scenes.resin_clock, one.run)


def conflict_of(chooser: Chooser, chosen: Verified) -> Conflict | None:
    """None where the graph knows no conflict, or was not asked.

    Forbidden lines are played alone too, as opening one may be the way out. The graph errs to the late side: the
    limit it is held to is later by as much as it is late on the sequence that the network played.
    """
    if chooser.arrivals is None or chooser.zones is None:
        return None
    shot, arrivals = chooser.shot, chooser.arrivals
    shut = tuple(line.label for line in shot.part.feed_lines if line.use is LineUse.FORBIDDEN)
    limit_s = chooser.scenes.resin_clock.limit_s(shot.process.gel_fraction)
    longest_s = max(limit_s, chosen.run.wet_out_s if math.isfinite(chosen.run.wet_out_s) else limit_s)
    arrivals.add(chooser.alone(shut, (0.95, 0.95), longest_s=longest_s))
    slowest_s = max((time for time in arrivals.cell_s.ravel().tolist() if math.isfinite(time)), default=0.0)
    horizon_s = _HORIZON * max(longest_s, arrivals.clock.lasting_s(0.0, slowest_s))
    chooser.follow_up_to(horizon_s, arrivals)
    problem = chooser.problem(arrivals, chooser.zones, horizon_s=horizon_s)
    late = _late_by(chooser, arrivals, problem, chosen)
    problem = chooser.problem(arrivals, chooser.zones, horizon_s=horizon_s, limit_s=limit_s * late)
    return find_conflict(problem, seed=shot.search.seed, effort=shot.search.solver_effort)


def _late_by(chooser: Chooser, arrivals: LineArrivals, problem: ZoneProblem, chosen: Verified) -> float:
    """Wet-out of the played openings on the graph over that on the network; at least 1."""
    index, tick, clock = chooser.scenes.coarse.line_index, chooser.shot.search.tick_s, arrivals.clock
    opened = {
        index[one.step.label]: ticks_up(clock.as_fresh_s(0.0, one.done_s), tick)
        for one in chosen.run.steps
        if one.step.action is Action.OPEN
    }
    wet = zone_times(problem, opened)
    if None in wet or not math.isfinite(chosen.run.wet_out_s):
        return 1.0
    wet_out_s = clock.lasting_s(0.0, max(one for one in wet if one is not None) * tick)
    return max(1.0, wet_out_s / chosen.run.wet_out_s)
