"""Cautions that the crew reads: hazards named, deferring to data sheets, rules and licensed practice.

No dose, no exposure figure and no limit is given here, on purpose. Common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.supply import SupplyIs, supply_is

DEFER = (
    "These lines replace no training. The safety data sheets, the makers' data sheets, the rules "
    "where you work and the licensed practice of your yard come first; where they differ from "
    "this sheet, they are right."
)


@dataclass(frozen=True, kw_only=True)
class Caution:
    """One hazard."""

    hazard: str
    text: str


CAUTIONS: tuple[Caution, ...] = (
    Caution(
        hazard="Peroxide initiator",
        text="NEVER let it touch promoter or accelerator directly: fire, explosion. Never add one straight "
        "after the other without mixing in between. Store it apart, cool, in its own container, as "
        "its safety data sheet says. NEVER let it or its drips meet acetone or flushing solvent, metal chips, rust, "
        "brass or copper: clean plastic measuring ware, for initiator only. Nothing goes back into the bottle.",
    ),
    Caution(
        hazard="Peroxide splashed, peroxide waste",
        text="In the eye: AT ONCE, eyelids open, rinse 15 min or as its safety data sheet says, and get a doctor. On "
        "skin or clothing: water AT ONCE, wet clothes off, as that sheet says. Rags wet with it may catch fire: out of "
        "the shop, as that sheet says; waste with peroxide in NO CLOSED BIN.",
    ),
    Caution(
        hazard="Styrene vapour",
        text="Run the ventilation before the first drum is opened and until cure. It is HEAVY and "
        "lies in mould and pit: nobody leans or climbs in without air. It burns: no flame, no spark, no smoking, no "
        "ordinary drill for stirring; drums and pump earthed. The pump's exhaust goes outside. Breathing protection as "
        "the safety data sheet and local rules ask.",
    ),
    Caution(
        hazard="Heat of cure",
        text="Left-over resin in a bucket, resin in hoses and catch pots and thick sections get hot, may "
        "smoke and may burn. Do not leave mixed resin standing deep. Put leftovers where the data "
        "sheet and the yard say, watched, until cold.",
    ),
    Caution(
        hazard="Vacuum",
        text="Pumps, pots and pipes under vacuum can collapse. Use catch pots made for it, with whole lids "
        "and guards. Let the vacuum go slowly before any lid is opened. No resin may reach the pump.",
    ),
    Caution(
        hazard="Eyes and skin",
        text="Goggles, gloves and covering clothes as the safety data sheets ask, for everyone near resin, "
        "initiator and hoses. Know where eye wash, shower and extinguisher are before the start.",
    ),
)

UNDER_PRESSURE = Caution(
    hazard="Pressure",
    text="A hose or joint under pressure can burst and spray resin. Stop the machine and let its pressure down, as its "
    "maker says, before any joint or hose is undone. Never bend over a hose that is pumped through. Initiator pump and "
    "line are under pressure too: a leak sprays peroxide, face shield on.",
)
FLUSHING_SOLVENT = Caution(
    hazard="Flushing solvent",
    text="Its vapour burns and creeps along the floor: no flame, no spark, more air. Machine and metal pail earthed, "
    "lid laid on LOOSE: what comes out of the machine still cures, gets hot and gives off gas. Gloves, goggles and "
    "breathing protection as its safety data sheet asks. Solvent and peroxide never on one trolley.",
)
"""Both common practice, no source."""


def cautions_of(plan: PlanDocument) -> tuple[Caution, ...]:
    """Those of pressure and solvent only where a machine feeds."""
    return (*CAUTIONS, UNDER_PRESSURE, FLUSHING_SOLVENT) if supply_is(plan) is SupplyIs.MACHINE else CAUTIONS
