"""Why the plan is not what the crew would have done without it."""

from __future__ import annotations

import math

from optimiser.case.printed_minutes import wet_out_min
from optimiser.case.tool_side import ON_TOOL_SIDE
from optimiser.filling.fill_run import FillRun
from optimiser.plan.result import PlanResult, Verified
from optimiser.units import litres_from_m3, min_from_s


def usual_rules_words(result: PlanResult) -> list[str]:
    """One sentence for each of the usual rules."""
    return [_sentence(one, result.chosen) for one in result.usual_rules]


def _sentence(one: Verified, chosen: Verified) -> str:
    name = one.name[0].upper() + one.name[1:]
    if one.sequence == chosen.sequence:
        return f"{name}: that is this plan."
    if one.broken:
        return f"{name} {one.broken}."
    if _locks(one.run):
        return f"{name} would lock {_locked(one.run)}."
    if not math.isfinite(one.run.wet_out_s):
        return f"{name} would not wet all of the part."
    wet = f"wet at minute {wet_out_min(one.run.wet_out_s):.1f}"
    for run in one.spread_runs:
        if _locks(run):
            return f"{name} is {wet}, but with the stated spread of permeability it may lock {_locked(run)}."
    if one.finer_run is not None and _locks(one.finer_run):
        return f"{name} is {wet}, but on cells of half the size it locks {_locked(one.finer_run)}."
    return f"{name} locks nothing and is {wet}."


def _locks(run: FillRun) -> bool:
    return any(lock.fails for lock in run.locks)


def _locked(run: FillRun) -> str:
    locks = [lock for lock in run.locks if lock.fails]
    worst = max(locks, key=lambda lock: lock.pore_m3)
    litres = f"{litres_from_m3(sum(lock.pore_m3 for lock in locks)):.2g} litres"
    under = f", {ON_TOOL_SIDE}" if worst.on_tool_side else ""
    closed_by = " and ".join(worst.closed_by[:2]) or "resin"
    where = f"x {worst.x_m:.2f} m, y {worst.y_m:.2f} m{under}, closed by {closed_by}"
    place = "at" if len(locks) == 1 else f"in {len(locks)} places, the largest at"
    return f"{litres} {place} {where} at minute {min_from_s(worst.at_s):.1f}"
