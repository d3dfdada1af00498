"""Before the last open vent is clamped: the wait for the tool side, and the feeds shut.

With every vent clamped and a feed open the part goes on filling to the pressure of the supply: it swells, and the bag
goes soft. Common practice, no source.
"""

from __future__ import annotations

from optimiser.case.plan_document import PlanDocument, PlannedStep
from optimiser.case.shown_label import shown_label
from optimiser.run_sheet.supply import SupplyIs, supply_is
from optimiser.run_sheet.tool_side_wait import ToolSideWait, last_clamp, wait_before

NEVER_ALL = "NEVER ALL VENTS CLAMPED WHILE A FEED IS OPEN"


def before_last_vent(plan: PlanDocument, step: PlannedStep) -> ToolSideWait | None:
    """Above the step that shuts the last vent; None for all others."""
    wait = wait_before(plan, step)
    if not shuts_feeds_first(plan, step):
        return wait
    machine = "MACHINE STOPPED, " if supply_is(plan) is SupplyIs.MACHINE else ""
    shut = f"{machine}EVERY FEED TAP SHUT, only then CLAMP {shown_label(step.label, step.kind)}."
    notes = (
        f"{NEVER_ALL}: the part swells with resin and the bag goes soft. Feeds left open, as decided under the last "
        "step: this vent stays open too."
    )
    if wait is None:
        return ToolSideWait(do=f"FEEDS FIRST: when all is wet, {shut}", notes=notes)
    return ToolSideWait(do=f"{wait.do} THEN FEEDS: {shut}", notes=f"{wait.notes} {notes}")


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
