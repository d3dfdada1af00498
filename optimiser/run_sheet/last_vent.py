"""Before the last open vent is clamped: the wait for the tool side, all wet signed, and the feeds shut.

With every vent clamped and a feed open the part goes on filling to the pressure of the supply: it swells, and the bag
goes soft. Common practice, no source.
"""

from __future__ import annotations

from optimiser.case.plan_document import PlanDocument, PlannedStep
from optimiser.case.shown_label import shown_label
from optimiser.run_sheet.supply import SupplyIs, supply_is
from optimiser.run_sheet.tool_side_wait import ToolSideWait, last_clamp, wait_before
from optimiser.run_sheet.wording import BLANK, CLOCK_BLANK

NEVER_ALL = "NEVER ALL VENTS CLAMPED WHILE A FEED IS OPEN"
WHICHEVER_IS_LAST = "LAST OPEN VENT? Every feed shut first."
"""At every vent: in the shot the last one may be another than in the plan."""
ALL_WET = f"ALL WET: seen end to end, person in charge says so {BLANK} at {CLOCK_BLANK}"


def before_last_vent(plan: PlanDocument, step: PlannedStep) -> tuple[ToolSideWait, ...]:
    """Above the step that shuts the last vent, in the order in which it is done; nothing above all others."""
    wait = wait_before(plan, step)
    waited = () if wait is None else (wait,)
    if not shuts_feeds_first(plan, step):
        return waited
    machine = "MACHINE STOPPED, " if supply_is(plan) is SupplyIs.MACHINE else ""
    shut = f"{machine}EVERY FEED TAP SHUT, only then CLAMP {shown_label(step.label, step.kind)}."
    notes = (
        f"{NEVER_ALL}: the part swells with resin and the bag goes soft. Whichever vent is the last: feeds before it."
    )
    return (
        *waited,
        ToolSideWait(do=ALL_WET, notes="Not signed: wait, clamp no more."),
        ToolSideWait(
            do=f"FEEDS, as decided under the last step: {shut} LEFT OPEN as decided: STEP {step.order} IS NOT DONE, "
            "this vent stays open.",
            notes=notes,
        ),
    )


def shuts_feeds_first(plan: PlanDocument, step: PlannedStep) -> bool:
    """Whether it shuts the last vent while a tap is open, and no tap is opened after it."""
    last = last_clamp(plan)
    if last is None or last.order != step.order:
        return False
    open_taps: set[str] = set()
    for one in sorted(plan.steps, key=lambda each: each.order):
        if one.action == "open" and one.order > step.order:
            return False
        if one.order < step.order and one.kind == "line":
            (open_taps.add if one.action == "open" else open_taps.discard)(one.label)
    return bool(open_taps)
