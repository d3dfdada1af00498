"""After the shot: what is kept up, and what is written down.

Common practice, no source; data sheets decide.
"""

from __future__ import annotations

from optimiser.case.plan_document import PlanDocument
from optimiser.case.thickness_document import AreaThickness
from optimiser.run_sheet.typeface import printable

RECORD_BLANKS: tuple[str, ...] = (
    "Initiator in at",
    "First tap opened at",
    "All wet at",
    "Last vent clamped at",
    "Resin used, kg",
    "Resin in catch pots, kg",
    "Gel seen at, where",
    "Hottest place, °C",
    "Vacuum let go at",
    "Out of the mould at",
    "Released by, signature",
    "Remarks",
)


def after_lines(plan: PlanDocument) -> list[str]:
    """What the crew does until the part may be touched."""
    return [
        "Feeds, vents and vacuum: as decided and written under the last step of the tap table.",
        "Hold the vacuum, watched, until the resin has cured. "
        f"How long: per the data sheet of {plan.conditions.resin}.",
        "Catch pots and flush pot: NEVER opened under vacuum. Resin in them gets hot, may smoke and crack the pot: "
        "watched, no lid over smoke, gloves and goggles on. Emptied as under the last step, spread shallow where the "
        "data sheet and the yard say; what has gelled stays in until cold.",
        "Feel nothing by hand: follow the temperature of thick places with an instrument until it falls.",
        "Let the vacuum go, and take the part out, only when the data sheet's hold time is over "
        "and the person in charge says so.",
        *(_thickness(area) for area in plan.thickness),
        "Keep this sheet with the part's records.",
    ]


def _thickness(area: AreaThickness) -> str:
    """What to measure, and what was computed for it; the drawing says what is wanted."""
    (thin, mean, thick), percent = area.wet_mm, area.wet_fibre_volume_percent[1]
    return (
        f"Thickness of {printable(area.name)}, computed: {mean:.1f} mm when all is wet ({thin:.1f} to {thick:.1f}, "
        f"fibre {percent:.0f} % by volume); {area.held_mm:.1f} mm, fibre {area.held_fibre_volume_percent:.0f} %, once "
        "the resin under shut taps and OPEN vents is down to the vacuum. Vents clamped, or gel before that, keep some "
        "of the rest."
    )
