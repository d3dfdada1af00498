"""What stands in hose and manifold is let into a flush pot before a tap: when, through which valve, and what comes off.

Begun when the trigger is near and done before it comes. After the trigger it would keep the front waiting for minutes
that no plan counts; right after the tap before, what it lets in would grow old again in the dead end of the manifold,
and the plan counts what comes out of the next tap as fresh. Cue and care are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

from optimiser.case.plan_document import PlanDocument, PlannedStep
from optimiser.case.trigger_words import span
from optimiser.run_sheet.supply import SupplyIs, supply_is
from optimiser.run_sheet.wording import kilograms

FLUSH_VALVE = "FLUSH VALVE"
"""A name of our own for the valve between manifold and flush pot; the sheet's one word for it."""
AT_THE_FAR_END = "at the far end of the manifold, beyond the last tap"
_BEFORE_THE_CLOCK_S = 120.0
"""Our choice, where no front shows that the step is near."""


@dataclass(frozen=True, kw_only=True)
class Bleeding:
    """One opening of the flush valve."""

    do: str
    notes: str


def bleeding_of(plan: PlanDocument, step: PlannedStep, *, first: bool) -> Bleeding | None:
    """first: the first of the steps that its trigger calls for, so that it can be done before that comes."""
    if step.bled_before_litres is None:
        return None
    turns = f"open A LITTLE, {step.bled_before_litres:.1f} l into the flush pot, valve SHUT again."
    off = _taken_off(plan, step)
    if not first:
        again = f"BLEED AGAIN before step {step.order}: {FLUSH_VALVE} {turns}"
        return Bleeding(do=again, notes=f"{_NOT_COUNTED}. {off}")
    return Bleeding(
        do=f"BLEED for step {step.order} BEFORE its trigger comes: begin {_cue(step)}. "
        f"{FLUSH_VALVE} ({AT_THE_FAR_END}) {turns}",
        notes=f"Not sooner: what stands there grows old. {_NOT_COUNTED}: if the trigger comes meanwhile, finish, then "
        "open. Only a little, so that open taps go on drawing. The pot is under vacuum; NEVER INTO AN OPEN BUCKET: it "
        f"draws air in. {off}",
    )


_NOT_COUNTED = "Bleeding takes time that is NOT in the expected minute"


def _cue(step: PlannedStep) -> str:
    """Something to see; by the clock, a time."""
    after = f"when step {step.order - 1} is done"
    at_s = step.trigger.at_s
    if step.trigger.kind != "clock" or at_s is None:
        return f"{after} and resin is about a hand's width short of what it names"
    if at_s <= _BEFORE_THE_CLOCK_S:
        return after
    return f"{span(_BEFORE_THE_CLOCK_S)} before its time, and {after}"


def _taken_off(plan: PlanDocument, step: PlannedStep) -> str:
    """'kg in' is what goes into the part; the scale or counter of the supply reads what is in the flush pot too.

    While a tap draws, the manifold stands below the air: only what is under the same vacuum takes resin from it.
    """
    litres = sum(one.bled_before_litres or 0.0 for one in plan.steps if one.order <= step.order)
    off = kilograms(litres * plan.conditions.resin_density_kg_per_m3 * 1e-3)
    reads = "counter" if supply_is(plan) is SupplyIs.MACHINE else "kg drawn"
    return f"From then on 'kg in' = {reads} less {off} (all in the flush pot)."
