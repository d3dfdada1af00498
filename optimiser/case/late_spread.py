"""Wet-out in the runs with changed permeability, in the slow case of the sheet, and the warning that it is too late."""

from __future__ import annotations

import math

from optimiser.case.printed_minutes import minutes_down, minutes_up
from optimiser.case.proof_words import finite
from optimiser.case.robustness_document import RobustnessResult
from optimiser.case.slow_case import Range, fine_over_coarse, wet_out_between
from optimiser.part.shot import GelRule, Shot
from optimiser.plan.result import PlanResult


def spread_wet_out(result: PlanResult) -> Range:
    """None: never, or no such runs."""
    times = [run.wet_out_s for run in result.chosen.spread_runs]
    return (finite(min(times)), finite(max(times))) if times else (None, None)


def slow_wet_out_s(result: PlanResult, robustness: RobustnessResult | None) -> float:
    """As the sheet has it, which knows of the variations too. Infinity: never all wet then."""
    run = result.chosen.run
    if not result.chosen.spread_runs:
        return run.wet_out_s
    ratio = fine_over_coarse(robustness, coarse_s=None, wet_out_s=finite(run.wet_out_s))
    slow_s = wet_out_between(spread_wet_out(result), robustness, ratio)[1]
    return math.inf if slow_s is None else slow_s


def spread_warnings(shot: Shot, result: PlanResult, limit_s: float) -> list[str]:
    """Where gel is judged at each place, the last one to be wet says nothing."""
    if shot.process.gel_rule is GelRule.EACH_PLACE:
        return []
    latest = max((run.wet_out_s for run in result.chosen.spread_runs), default=0.0)
    warning = late_spread(result.chosen.run.wet_out_s, latest, limit_s)
    return [] if warning is None else [warning]


def late_spread(wet_out_s: float, latest_s: float, limit_s: float) -> str | None:
    """None where the latest of these runs is in time, or the plan itself is late. Infinity: never all wet."""
    if latest_s <= limit_s or wet_out_s > limit_s:
        return None
    when = f"at minute {minutes_up(latest_s)}" if math.isfinite(latest_s) else "not at all"
    return (
        f"with the stated spread of permeability the last place may be wet only {when}, "
        f"after the gel limit of minute {minutes_down(limit_s)}"
    )
