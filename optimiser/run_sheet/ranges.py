"""The minutes between which a thing is to be expected: in the runs with changed permeability, and in 90 of 100 played
variations of the day where the plan has them; the wider of the two."""

from __future__ import annotations

from optimiser.case.plan_document import PlanDocument, PlannedStep

Range = tuple[float | None, float | None]


def step_range(plan: PlanDocument, step: PlannedStep) -> Range:
    """Of one step; None: not known."""
    varied = () if plan.robustness is None else plan.robustness.steps
    found = next((one for one in varied if one.order == step.order), None)
    own = (step.earliest_s, step.latest_s)
    return own if found is None else _wider(own, (found.p05_s, found.p95_s))


def wet_out_range(plan: PlanDocument) -> Range:
    """Of wet-out; None: not known, or never."""
    found = plan.robustness
    if found is None:
        return plan.spread_wet_out_s
    return _wider(plan.spread_wet_out_s, (found.wet_out_p05_s, found.wet_out_p95_s))


def _wider(one: Range, other: Range) -> Range:
    """A range that is not known at one end says nothing of it."""
    (low, high), (other_low, other_high) = one, other
    if low is None or high is None or other_low is None or other_high is None:
        return one
    return min(low, other_low), max(high, other_high)
