"""How far the order is proven, in words of the yard; the solver's own words stand in plan.json."""

from __future__ import annotations

import math

from optimiser.case.plan_document import PlanDocument, ProofStatus
from optimiser.run_sheet.wording import minutes

_FOUND = {
    ProofStatus.OPTIMAL_ON_ZONE_GRAPH: "The best order with the part cut into {zones} zones",
    ProofStatus.BEST_FOUND: "The best order found; there may be a better one",
    ProofStatus.CHECKED_ONLY: "An order that somebody wrote; it was checked, not improved",
}


def proof_lines(plan: PlanDocument) -> list[str]:
    """What was found and played, what limits it, and what the usual rules would have done."""
    proof = plan.proof
    lines = [f"{_FOUND[proof.status].format(zones=proof.zone_count)}. {_played(plan)}"]
    if proof.bound_s is not None:
        lines.append(f"No order can be faster than minute {minutes(proof.bound_s, short=True, rounded=math.floor)}.")
    return [*lines, *proof.usual_rules]


def _played(plan: PlanDocument) -> str:
    if plan.wet_out_s is None:
        return "Played to the end by calculation it does not get all wet."
    at = minutes(plan.wet_out_s, short=True, rounded=math.ceil)
    return f"Played to the end by calculation, the last place is wet at minute {at}."
