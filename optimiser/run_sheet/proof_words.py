"""How far the order is proven, in words of the yard; the solver's own words stand in plan.json."""

from __future__ import annotations

import math
import re

from optimiser.case.plan_document import PlanDocument, Verdict
from optimiser.case.proof_document import ProofStatus
from optimiser.case.robustness_document import RobustnessResult
from optimiser.case.varied_words import what_varied
from optimiser.run_sheet.wording import minutes

_FOUND = {
    ProofStatus.OPTIMAL_ON_ZONE_GRAPH: "The best order with the part cut into {zones} zones",
    ProofStatus.BEST_FOUND: "The best order found; there may be a better one{gap}",
    ProofStatus.CHECKED_ONLY: "An order that somebody wrote; it was checked, not improved",
}

_NOT_VARIED = "It was not played in variations of the day{}."
_NOT_COMPARED = ": no other order was looked at for staying clean more often"


def proof_lines(plan: PlanDocument) -> list[str]:
    """What was found and played, what limits it, and what the usual rules would have done."""
    proof = plan.proof
    found = _FOUND[proof.status].format(zones=proof.zone_count, gap=_gap(plan))
    lines = [f"{found}. {_played(plan)}"]
    if proof.finer_cells is not None:
        lines.append(proof.finer_cells.says)
    if proof.bound_s is not None:
        lines.append(f"No order can be faster than minute {minutes(proof.bound_s, short=True, rounded=math.floor)}.")
    return [*lines, *_variations(plan), *map(with_line_words, proof.usual_rules)]


def with_line_words(sentence: str) -> str:
    """A line named by a bare number gets its word, so that nobody takes it for a step or a minute."""
    return _BARE_LINES.sub(lambda found: f"{found[1]} line{'s' if found[3] else ''} {found[2]}", sentence)


_BARE_LINES = re.compile(r"\b(from|closed by) (\d+((?:, | and )\d+)*)\b(?!-|\.\d)")


def _gap(plan: PlanDocument) -> str:
    """By how much at most, as far as the zones tell; nothing where they tell of none."""
    gap_s = plan.proof.graph_gap_s
    if not gap_s:
        return ""
    most = minutes(gap_s, short=True, rounded=math.ceil)
    return f", by up to {most} minutes as far as {plan.proof.zone_count} zones tell"


def _variations(plan: PlanDocument) -> list[str]:
    """One line for the crew: what was counted, never a promise."""
    found = plan.robustness
    if found is None:
        chosen = plan.proof.status is not ProofStatus.CHECKED_ONLY
        return [_NOT_VARIED.format(_NOT_COMPARED if chosen else "")] if plan.verdict is Verdict.VERIFIED else []
    varied = what_varied(found)
    of = f"of {varied}" if varied else "in which nothing varied, each the same run,"
    return [
        f"In {found.variations} played variations {of} {found.clean} stayed clean and in time{_not_so(found)}. A "
        "calculation, no promise: the person in charge decides."
    ]


def _not_so(found: RobustnessResult) -> str:
    """What became of the others, the most frequent first."""
    counts = (
        (found.locked, f"closed air in{_mostly_in(found)}"),
        (found.late, "were too late"),
        (found.never_wet, "stayed dry somewhere"),
        (found.out_of_order, "broke a rule of its taps"),
    )
    said = [f"{count} {what}" for count, what in sorted(counts, key=lambda one: -one[0]) if count]
    return f"; {', '.join(said)}" if said else ""


def _played(plan: PlanDocument) -> str:
    if plan.wet_out_s is None:
        return "Played to the end by calculation it does not get all wet."
    at = minutes(plan.wet_out_s, short=True, rounded=math.ceil)
    if any(one.fails for one in plan.locked):
        return f"Played to the end by calculation, all but what stays dry is wet at minute {at}."
    return f"Played to the end by calculation, the last place is wet at minute {at}."


def _mostly_in(found: RobustnessResult) -> str:
    return f" (most often in zone {found.locked_zones[0].zone})" if found.locked_zones else ""
