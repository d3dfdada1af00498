"""When the mixes of the reserve begin: in time for the container not to run empty, and only where more is wanted."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.bleeding import drawn_with_bled_kg
from optimiser.run_sheet.supply import left_kg


@dataclass(frozen=True, kw_only=True)
class ReserveMix:
    """Kilograms drawn since the first tap, what is bled among them."""

    begin_at_kg: float
    """Not before all wet is expected, unless the mix would come too late then."""
    pour_by_kg: float
    """What is left in the container is then as much as at the mixes of the plan."""


def reserve_mixes(plan: PlanDocument) -> list[ReserveMix]:
    """Those after the mixes that the run draws. Empty: no run tells how fast the last of it is drawn."""
    mix_kg, count, course = plan.conditions.mix_kg, plan.resin.mixes or 0, plan.consumption
    if not plan.mixes or mix_kg is None or plan.wet_out_s is None or not course.time_s:
        return []
    last, drawn_kg = plan.mixes[-1], drawn_with_bled_kg(plan)
    in_all_kg = drawn_kg[-1]
    poured_kg = last.pour_by_drawn_kg
    if poured_kg is None:
        poured_kg = -left_kg(plan) - plan.resin.hoses_and_manifold_kg
    lead_kg = in_all_kg - float(np.interp(plan.wet_out_s - _lead_s(plan), course.time_s, drawn_kg))
    found: list[ReserveMix] = []
    earliest_kg = last.begin_at_drawn_kg or 0.0
    for after in range(1, count - last.number + 1):
        pour_by_kg = max(0.0, poured_kg + after * mix_kg)
        wanted_kg = in_all_kg if after == 1 else pour_by_kg
        earliest_kg = max(earliest_kg, min(wanted_kg, pour_by_kg - lead_kg))
        found.append(ReserveMix(begin_at_kg=earliest_kg, pour_by_kg=pour_by_kg))
    return found


def _lead_s(plan: PlanDocument) -> float:
    """From initiator in until the last mix of the plan is in the container, on the plan's clock of the fast day."""
    last, course = plan.mixes[-1], plan.consumption
    poured_s = float(np.interp(last.pour_by_drawn_kg or 0.0, drawn_with_bled_kg(plan), course.time_s))
    fastest = 1.0 + plan.permeability_spread_percent / 100 if last.initiator_in_at_s < 0 else 1.0
    return poured_s - last.initiator_in_at_s * fastest
