"""The first mix into an open container: how much resin, how many grams, and by when the second must be in.

All from what the plan draws. A tenth of the first mix is left in the container when the second is poured in. Common
practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from optimiser.case.mistake_words import TO_FIRST_TAP_S
from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.bleeding import bled_kg, drawn_with_bled_kg, poured_before_bleeding_kg
from optimiser.run_sheet.supply import LEFT_SHARE, SupplyIs, is_bled, supply_is
from optimiser.run_sheet.tool_side_wait import ToolSideWait
from optimiser.run_sheet.wording import grams_up, is_short, minutes, to_have_kg

HOSE_END = "HOSE END STAYS UNDER RESIN"


@dataclass(frozen=True, kw_only=True)
class ContainerMix:
    """The first mix, the rest, and the moment between them."""

    resin_kg: float
    """Supply hose as stated, manifold, and what is gone by the time that a next mix can be there, on the fast day."""
    initiator_g: int
    rest_kg: float
    rest_g: int
    """With that of the first mix as much as there is to have."""
    next_by_kg: float | None
    """Drawn since the first tap when the second must be in; None: the first lasts for all that the run draws, or
    is all."""
    next_by_s: float | None
    """When that is on the fast day."""


def container_mix(plan: PlanDocument) -> ContainerMix | None:
    """None: mixes are counted, a machine feeds, or no run tells what is drawn."""
    course = plan.consumption
    if supply_is(plan) is not SupplyIs.CONTAINER or not course.time_s:
        return None
    fastest, in_all_kg = 1 + plan.permeability_spread_percent / 100, to_have_kg(plan.resin.total_kg)
    gone_kg = float(np.interp(TO_FIRST_TAP_S * fastest, course.time_s, course.drawn_kg))
    first_kg = to_have_kg(min(plan.resin.hoses_and_manifold_kg + gone_kg, in_all_kg))
    per_kg = 10 * plan.resin.initiator_percent
    first_g, all_g = round(first_kg * per_kg), grams_up(in_all_kg * per_kg)
    drawn_kg = drawn_with_bled_kg(plan)
    by_kg = max(0.0, (1 - LEFT_SHARE) * first_kg - plan.resin.hoses_and_manifold_kg)
    if by_kg >= drawn_kg[-1] or first_kg >= in_all_kg:
        next_kg, next_s = None, None
    else:
        next_kg = math.floor(10 * poured_before_bleeding_kg(plan, by_kg) + 1e-6) / 10
        next_s = float(np.interp(next_kg, drawn_kg, course.time_s)) / fastest
    return ContainerMix(
        resin_kg=first_kg,
        initiator_g=first_g,
        rest_kg=round(in_all_kg - first_kg, 1),
        rest_g=all_g - first_g,
        next_by_kg=next_kg,
        next_by_s=next_s,
    )


def second_mix_by(plan: PlanDocument) -> str:
    """'11.4 kg in less what went into the flush pot (fast day: min 7)'; empty: nothing has to be poured in."""
    mix = container_mix(plan)
    if mix is None or mix.next_by_kg is None or mix.next_by_s is None:
        return ""
    at = "kg drawn" if is_bled(plan) else "kg in"
    at_min = minutes(mix.next_by_s, short=is_short(plan.wet_out_s), rounded=math.floor)
    return (
        f"{mix.next_by_kg:.1f} {at} less what went into the flush pot (fast day: min {at_min})"
    )


def poured_before(plan: PlanDocument) -> tuple[int, ToolSideWait] | None:
    """The first step that is done with more drawn than the first mix holds, and what is done before its trigger comes.
    """
    mix, by = container_mix(plan), second_mix_by(plan)
    if mix is None or mix.next_by_kg is None or not by:
        return None
    late = [
        step.order
        for step in plan.steps
        if step.drawn_kg is not None and step.drawn_kg + bled_kg(plan, step.order) > mix.next_by_kg
    ]
    if not late:
        return None
    notes = (
        f"First mix {mix.resin_kg:.1f} kg, at least a tenth left in the container. By the kg, not by this step, also "
        "while you wait. Not there in time: as 'Container runs low', CALL."
    )
    return min(late), ToolSideWait(do=f"SECOND MIX IN by {by}; {HOSE_END}.", notes=notes)
