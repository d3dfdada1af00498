"""The end of the shot, under the last step: all wet, then what the yard has decided beforehand.

What becomes of feeds and vents after the last step is the yard's decision and the data sheet's; none is given here.
"""

from __future__ import annotations

from dataclasses import dataclass

from optimiser.case.plan_document import PlanDocument
from optimiser.case.shown_label import shown_label
from optimiser.run_sheet.bleeding import FLUSH_VALVE
from optimiser.run_sheet.last_vent import ALL_WET, shuts_feeds_first
from optimiser.run_sheet.supply import SupplyIs, supply_is
from optimiser.run_sheet.tool_side_wait import last_clamp, wait_at_the_end
from optimiser.run_sheet.wording import BLANK, BOX, CLOCK_BLANK, SHORT_BLANK

DECIDED_HEAD = "Then, as the yard decided BEFORE the shot (fill in before step 1):"
_MACHINE_OFF = (
    f"STOP THE MACHINE before the last feed is shut, pressure down, at {CLOCK_BLANK}",
    f"FEED TAPS SHUT {BOX} or SUPPLY HOSE CLAMPED at the manifold {BOX}, then hose OFF the machine",
    "ONLY THEN FLUSH the machine, before it gels, as its maker says: into a pail, NEVER toward the manifold",
)
"""In this order: solvent must find no way into the part. Common practice, no source."""
_MIXED_LEFT = (
    f"MIXED RESIN LEFT in container and pails {BOX}: no hose draws from it unless so decided; out, spread shallow, "
    "watched"
)
"""It goes on curing and gets hot where it stands deep. Common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Ending:
    """One block of its own after the last step."""

    wait: str
    """Before anybody calls it; empty: what is seen is so."""
    all_wet: str
    """Empty: it is signed before the last vent is clamped."""
    decided_head: str
    decided: tuple[str, ...]
    hold: str


def ending(plan: PlanDocument) -> Ending:
    """What is ticked after the last step."""
    by_machine = supply_is(plan) is SupplyIs.MACHINE
    left_open = f"LEFT OPEN {BOX} until {BLANK}, drawing from {BLANK}, not from air"
    last = last_clamp(plan)
    shut_first = last is not None and shuts_feeds_first(plan, last)
    feeds = f"Feeds BEFORE the last vent ({shown_label(last.label, last.kind)})" if last and shut_first else "Feeds"
    left_open += f", that vent OPEN, step {last.order} NOT DONE" if last and shut_first else ""
    return Ending(
        wait=wait_at_the_end(plan),
        all_wet="" if shut_first else ALL_WET,
        decided_head=DECIDED_HEAD,
        decided=(
            *(_MACHINE_OFF if by_machine else ()),
            f"{feeds}: SHUT {BOX} / {left_open}",
            f"Vents after that: BACK ON VACUUM {BOX} at {SHORT_BLANK} mbar abs until {BLANK} / CLAMPED {BOX}, "
            "if the bag holds by itself",
            *(() if by_machine else (_MIXED_LEFT,)),
            f"FLUSH POT, where resin is in it still: {FLUSH_VALVE} and its line to the pump shut, vacuum let go "
            "slowly, emptied before it gels, best right after bleeding: deep resin gets hot",
            "CATCH POTS with resin: WATCHED. Lid off only when its vent is CLAMPED AT THE PART, line to the pump shut, "
            "vacuum let go slowly",
        ),
        hold=f"HOLD THE VACUUM in the bag until cure, per the data sheet of the resin: {plan.conditions.resin}.",
    )
