"""What has to be true before step 1, and how the table under it is read."""

from __future__ import annotations

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.supply import SupplyIs, supply_is
from optimiser.run_sheet.wording import BLANK, CLOCK_BLANK

GO_HEAD = "STOP before step 1"
TURN_NOW = "TURN NOW: next step is due in the same minute"


def go_ticks(*, checks_at: str, cautions_at: str, start: tuple[str, ...] = ()) -> tuple[str, ...]:
    """Things to tick; `checks_at` and `cautions_at` say where on this sheet they stand, `start` comes last."""
    return (
        f"checks ({checks_at}) all ticked",
        f"cautions ({cautions_at}) read out",
        f"GO given by {BLANK} at {CLOCK_BLANK}",
        *start,
    )


def start_ticks(plan: PlanDocument) -> tuple[str, ...]:
    """After GO; nothing where no machine feeds. Which way a machine is started is its maker's to say."""
    if supply_is(plan) is not SupplyIs.MACHINE:
        return ()
    return (f"START MACHINE as its maker says, before step 1: {CLOCK_BLANK}",)


HOW_TO_READ: tuple[str, ...] = (
    "'Nothing dry is left between A and B': look through the bag over the whole strip between the two lines, "
    "end to end and at the joints. No pale spot, and resin stands at the next line along its whole length.",
    "Each step goes by its own trigger. If the trigger of a later step comes first, do that step first: "
    "the plan was played that way.",
    "'kg in': through the supply since the first tap. At zero supply hose and manifold stand FULL, hoses and lines "
    "behind the taps EMPTY: fill up to the shut taps first, then read the scale as zero. "
    "'at first … kg/min in all': in the first seconds, all open taps together; to look at, not to set.",
)
"""Said once, above the table."""


def same_minute(together_at: str | None) -> str:
    """`together_at` says where the sheet names those of which one must come first; None: there are none."""
    but = "" if together_at is None else f", unless 'Due together' ({together_at}) says which first"
    return f"Steps of the same minute: any order{but}."
