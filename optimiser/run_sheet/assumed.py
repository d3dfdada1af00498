"""What the plan takes for granted, and what it warns of: the compact list."""

from __future__ import annotations

from optimiser.case.plan_document import Assumption, PlanDocument
from optimiser.run_sheet.ranges import longer_than_varied
from optimiser.run_sheet.wording import number

_WORTH_A_WORD = 0.01


def assumption_lines(plan: PlanDocument) -> list[str]:
    """'This plan assumes ...': the spread it allows for, where the resin is from, every value the case left out."""
    spread = (
        f"permeability within ±{number(plan.permeability_spread_percent)} % all over and "
        f"{number(plan.permeability_patchy_percent)} % from place to place (the minutes in brackets are the earliest "
        f"and latest of those runs{_and_variations(plan)})"
    )
    resin = (f"resin, as stated: {sentence}" for sentence in plan.conditions.resin_taken_from)
    return [spread, *resin, *(_left_out(item) for item in plan.assumptions)]


def _left_out(item: Assumption) -> str:
    """Of which field, in words and not as a path of the case file."""
    field = item.path.rpartition("/")[2].replace("_", " ")
    why = item.why.replace("_", " ")
    return f"{field}: {item.value}; {why}" if field and not field.isdigit() else f"{item.value}; {why}"


def _and_variations(plan: PlanDocument) -> str:
    if plan.robustness is None:
        return ""
    off = 1 / longer_than_varied(plan) - 1
    way, moved = ("sooner", "their late times are taken later") if off < 0 else ("later", "their early times sooner")
    coarse = f"; on their coarser cells the order is wet {abs(off):.0%} {way}, so {moved} in that ratio"
    stretched = coarse if abs(off) >= _WORTH_A_WORD else ""
    return f", or of 90 in 100 played variations where these lie further apart{stretched}"
