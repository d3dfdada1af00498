"""The end of the shot, under the last step: all wet, then what the yard has decided beforehand.

What becomes of feeds and vents after the last step is the yard's decision and the data sheet's; none is given here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.supply import SupplyIs, supply_is
from optimiser.run_sheet.wording import BLANK, BOX, CLOCK_BLANK, SHORT_BLANK
from optimiser.units import min_from_s

_MOST_AREAS = 3
DECIDED_HEAD = "Then, as the yard decided BEFORE the shot (fill in before step 1):"


@dataclass(frozen=True, kw_only=True)
class Ending:
    """One block of its own after the last step."""

    wait: str
    """Before anybody calls it; empty: what is seen is so."""
    all_wet: str
    decided_head: str
    decided: tuple[str, ...]
    hold: str


def ending(plan: PlanDocument) -> Ending:
    """What is ticked after the last step."""
    stopped = (
        f"STOP THE MACHINE before the last feed is shut, pressure down, at {CLOCK_BLANK}; flush it before it gels. "
        "Both as its maker says"
    )
    machine = (stopped,) if supply_is(plan) is SupplyIs.MACHINE else ()
    return Ending(
        wait=_wait(plan),
        all_wet=f"ALL WET: seen end to end, person in charge says so {BLANK} at {CLOCK_BLANK}",
        decided_head=DECIDED_HEAD,
        decided=(
            *machine,
            f"Feeds after the last vent: SHUT {BOX} / LEFT OPEN {BOX} until {BLANK}",
            f"Vents after that: BACK ON VACUUM {BOX} at {SHORT_BLANK} mbar abs until {BLANK} / CLAMPED {BOX}, "
            "if the bag holds by itself",
        ),
        hold=f"HOLD THE VACUUM in the bag until cure, per the data sheet of the resin: {plan.conditions.resin}.",
    )


def _wait(plan: PlanDocument) -> str:
    """Under mesh and in thick laminate the tool side is wet later than what is seen."""
    seen_s = max((one.bag_wet_s or 0.0 for one in plan.tool_side), default=0.0)
    left_s = max((one.wet_s - seen_s for one in plan.tool_side if one.wet_s is not None), default=0.0)
    if left_s <= 0.0:
        return ""
    minutes = math.ceil(min_from_s(left_s * (1 + plan.permeability_spread_percent / 100)))
    areas = [one.area for one in plan.tool_side if one.trails_s]
    where = ", ".join(areas[:_MOST_AREAS]) + (" and others" if len(areas) > _MOST_AREAS else "")
    return f"WAIT {minutes} min more at {where}: the tool side is wet last"
