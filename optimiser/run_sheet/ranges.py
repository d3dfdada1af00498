"""The minutes between which a step or the wet-out of a plan is to be expected."""

from __future__ import annotations

from optimiser.case.plan_document import PlanDocument, PlannedStep
from optimiser.case.slow_case import Range, fine_over_coarse, wet_out_between, with_variations


def step_range(plan: PlanDocument, step: PlannedStep) -> Range:
    """Of one step; None: not known."""
    varied = () if plan.robustness is None else plan.robustness.steps
    found = next((one for one in varied if one.order == step.order), None)
    own = (step.earliest_s, step.latest_s)
    return own if found is None else with_variations(own, (found.p05_s, found.p95_s), longer_than_varied(plan))


def wet_out_range(plan: PlanDocument) -> Range:
    """Of wet-out; None: not known, or never."""
    return wet_out_between(plan.spread_wet_out_s, plan.robustness, longer_than_varied(plan))


def longer_than_varied(plan: PlanDocument) -> float:
    """Wet-out as planned over that where variations are played; mistakes are played on the same coarse network."""
    coarse_s = None if plan.mistakes is None else plan.mistakes.coarse_wet_out_s
    return fine_over_coarse(plan.robustness, coarse_s=coarse_s, wet_out_s=plan.wet_out_s)
