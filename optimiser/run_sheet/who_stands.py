"""Who stands where before anything is mixed: names to write down, and no two jobs for one that fall together."""

from __future__ import annotations

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.check import Check
from optimiser.run_sheet.supply import SupplyIs, supply_is
from optimiser.run_sheet.wording import BLANK, number

_AT_THE_RESIN = {
    SupplyIs.MACHINE: "1 at the machine, who looks at the initiator pump too; 1 more at flush valve and pot",
    SupplyIs.MIXES: "2 at the resin, one weighs and stirs, one looks on and stays at the container; 1 more at flush "
    "valve and pot",
    SupplyIs.CONTAINER: "2 who weigh and stir, one stays at the container; 1 more at flush valve and pot",
}
"""Each job falls together with another. Common practice, no source."""


def people(plan: PlanDocument) -> list[Check]:
    """With a row for each person whose place the case knows."""
    at = plan.conditions
    hands = "1 person" if at.hands == 1 else f"{at.hands} people"
    who = "; WHO is written at every step" if at.hands > 1 and not at.standing_at else ""
    stands = [
        Check(what=f"Person {who} stands at", planned=place, blank="name")
        for who, place in enumerate(at.standing_at, start=1)
    ]
    return [
        Check(what="Cautions on this sheet read out", planned="", blank=""),
        Check(what="Person in charge, AT THE PART for the whole shot", planned="", blank="name, phone"),
        Check(
            what="At the taps, and clamping the vents",
            planned=f"{hands}, about {number(at.seconds_per_action)} s for each tap{who}",
            blank="names",
        ),
        Check(
            what="At resin and flush pot: nobody who turns a tap or clamps a vent",
            planned=_AT_THE_RESIN[supply_is(plan)],
            blank="names",
        ),
        *stands,
        Check(
            what="Watches the front and says so when a trigger is there",
            planned=f"keeps the log, writes every time: {BLANK}",
            blank="name",
        ),
        Check(what="One clock that all can see", planned="", blank=""),
    ]
