"""What to do when the shot does not go as written: stop, watch, call, and the yard's own rules.

Common practice, no source; the person in charge decides.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.bleeding import FLUSH_VALVE
from optimiser.run_sheet.headline import latest_wet_min
from optimiser.run_sheet.supply import SupplyIs, is_bled, supply_is
from optimiser.run_sheet.wording import BLANK, is_short, minutes

IN_CHARGE = (
    f"CALL: {BLANK} phone {BLANK}. If you are the person in charge: decide, write it down with the minute, and never "
    "open early to catch up. Where this page has no answer, the yard's own rules have."
)

_MACHINE_DRAWS_AIR = (
    "STOP THE MACHINE, SHUT EVERY OPEN TAP: all hang on one manifold. Air that is in does not come out. CALL. Back "
    "only on the lead's word, no more bubbles in the hose."
)
_NO_VENT_DRAWS = "No vent drawing any more? SHUT EVERY FEED, CALL."
"""With no vent drawing and a feed open the part goes on filling, and the bag goes soft."""
_SHUT_FIRST = "SHUT EVERY OPEN TAP FIRST, only then hose out of it: an open tap draws air through a hose end in air."


@dataclass(frozen=True, kw_only=True)
class WhatIf:
    """One thing that may happen, and the answer."""

    happens: str
    do: str


_FILLING = WhatIf(
    happens="Filling: bubbles in the hose do not end",
    do=f"Shut the {FLUSH_VALVE}, open no tap: air comes in somewhere, or the resin foams. CALL.",
)
_FLUSH = (
    WhatIf(
        happens="Bubbles come IN THE HOSE while the manifold is bled into the flush pot",
        do=f"Shut the {FLUSH_VALVE}, open nothing new. Air that is in does not come out. CALL.",
    ),
    WhatIf(
        happens="A tap was opened before the manifold was bled into the flush pot",
        do="Do not do it now: the old resin is in the line. Write the minute down. CALL: its gel clock may be the "
        "first mix's.",
    ),
    WhatIf(
        happens="Bled, and the trigger does not come for some minutes",
        do="Once more, to the spare mark, when it is near, ONLY if the container stays above LOW: what stands in the "
        "manifold is old. Write the kg down, they come off 'kg in' too. CALL.",
    ),
)


def what_ifs(plan: PlanDocument) -> list[WhatIf]:
    """Front and taps first, then bag and pump, the supply of this shot, what hurts people, last the clock."""
    supply = supply_is(plan)
    stop = "STOP THE MACHINE. " if supply is SupplyIs.MACHINE else ""
    flush = (_FILLING, *_FLUSH) if is_bled(plan) else (_FILLING,)
    return [*_front(plan), *_bag(stop), *_supply(supply), *flush, *_people(), *_clock(plan, stop)]


def _front(plan: PlanDocument) -> list[WhatIf]:
    by_clock = any(step.trigger.kind == "clock" for step in plan.steps)
    counts = (
        "A step marked CLOCK waits for its time; at every other the trigger counts, not the clock."
        if by_clock
        else "The trigger counts, not the clock."
    )
    missed = "A step marked CLOCK that was missed: CALL before you turn it. " if by_clock else ""
    return [
        WhatIf(
            happens="A step is late",
            do=f"WAIT. Never open early, never leave it out; a later step whose own trigger comes is done "
            f"meanwhile. Look for a kink, a tap half open, a leak. {missed}"
            "Past its latest minute (the second one in brackets): CALL the person in charge.",
        ),
        WhatIf(
            happens="A step is early",
            do=f"{counts} Act on the trigger and write the minute down.",
        ),
        WhatIf(
            happens="Dry spot behind the front",
            do="Open and clamp nothing more on your own. Mark it on the bag, write down place and minute. CALL.",
        ),
        WhatIf(
            happens="Resin reaches a vent",
            do="CLAMP IT ONLY WHEN ITS STEP SAYS SO: clamped too early, the air behind it stays in. "
            "Never clamp on kg or minutes.",
        ),
        WhatIf(
            happens="Wrong tap opened",
            do="LEAVE IT, CALL AT ONCE, open no other to even it out. Only if it was opened within seconds and no "
            "resin has passed its hose: shut it. Write down label and minute. (Safe common practice: what is right "
            "here the plan does not know.)",
        ),
        WhatIf(
            happens="Wrong vent clamped, or too early",
            do="No resin past it? Open it again at once. Resin past it: leave it. Write the minute down. CALL.",
        ),
        WhatIf(
            happens="Resin runs ahead along an edge (race track)",
            do="Open nothing ahead of it, clamp nothing. Mark on the bag how far it is, write the minute down. CALL.",
        ),
    ]


def _bag(stop: str) -> list[WhatIf]:
    """stop: what comes first where a machine presses resin into a bag that no longer holds."""
    return [
        WhatIf(happens="Catch pot fills", do="Watch it. Before it is full: CALL. No resin may reach the pump."),
        WhatIf(
            happens="Catch pot is full",
            do=f"{stop}Shut its line to the pump before resin gets there, open nothing new. CALL. {_NO_VENT_DRAWS}",
        ),
        WhatIf(
            happens="A hiss, or the vacuum drops",
            do=f"{stop}Find the leak and seal it. Open nothing new until the vacuum is back. If it does not come back: "
            "CALL.",
        ),
        WhatIf(happens="Bag lifts or goes soft", do=f"{stop}Open nothing new. CALL. {_NO_VENT_DRAWS}"),
        WhatIf(
            happens="Pump or power fails",
            do=f"{stop}Shut the valve between pump and pots AT ONCE, so that the bag keeps its vacuum. Open nothing "
            f"new. CALL. {_NO_VENT_DRAWS} The yard's own rule for a failed pump applies.",
        ),
    ]


def _supply(supply: SupplyIs) -> list[WhatIf]:
    if supply is SupplyIs.MACHINE:
        return [
            WhatIf(
                happens="Machine stops or alarms",
                do="Standing at its cap and starting again by itself is normal. Stopped for more than ____ s, or an "
                "alarm: SHUT EVERY OPEN TAP, no hose may draw air. Write the minute down. CALL: the person in charge "
                "says whether it goes on.",
            ),
            WhatIf(
                happens="Hose leaks or bursts, or pressure stays above its cap",
                do="STOP THE MACHINE, SHUT EVERY OPEN TAP, pressure down, before anybody touches a hose. CALL. Below "
                "air pressure a leak does not spray: it shows as bubbles in the hose.",
            ),
            WhatIf(
                happens="Ratio wrong, no initiator, or resin turns warm or thick",
                do="STOP THE MACHINE, SHUT EVERY OPEN TAP: nothing of it may go into the part. CALL. Then hose off the "
                "machine, flush it into a pail before it gels, as its maker says.",
            ),
            WhatIf(happens="Resin runs out, a hose draws air", do=_MACHINE_DRAWS_AIR),
        ]
    return [
        WhatIf(
            happens="Container runs low",
            do="No hose may draw air. Refill in time. Cannot refill: clamp the hose before its end comes free. CALL.",
        ),
        WhatIf(
            happens="Resin runs out, a hose draws air",
            do="SHUT EVERY OPEN TAP and clamp the SUPPLY HOSE at once. Air that is in does not come out. CALL. Back "
            f"only on the lead's word: new mix, hose end in it, clamp off, {FLUSH_VALVE} open A LITTLE (pot empty, "
            "under vacuum) until no bubbles, SHUT; then the taps again.",
        ),
        WhatIf(
            happens="Mix with no, wrong or double initiator",
            do=f"{_SHUT_FIRST} Nothing more of it in. Mark the minute. With no or little initiator it stays soft, with "
            "double it gels early and gets hot. CALL.",
        ),
        WhatIf(
            happens="Resin in a container turns warm or thick",
            do=f"{_SHUT_FIRST} Use no more of it, stand it aside in a safe place as its data sheet says. CALL.",
        ),
    ]


def _people() -> list[WhatIf]:
    return [
        WhatIf(
            happens="Smoke or heat in pail, hose, flush pot, catch pot or part",
            do="Keep people away, nobody breathes the fumes. Do as the safety data sheet and the yard's fire rules "
            "say. CALL; if it burns: out, and the fire brigade.",
        ),
        WhatIf(
            happens="Somebody dizzy, sick or with a headache",
            do="Out into fresh air at once, never alone, somebody else tends the taps. Do as the safety data sheet "
            f"says; not better soon, or not awake: doctor, emergency number {BLANK}. More air in the shop. CALL.",
        ),
        WhatIf(
            happens="Peroxide spilt",
            do="No flame, no spark, nothing that burns and no accelerator near it. Take it up only as its safety data "
            "sheet says; never back into the bottle. CALL.",
        ),
        WhatIf(
            happens="Splash in the eye or on skin",
            do="AT ONCE rinse, 15 min or as the safety data sheet says, eyelids open, wet clothes off; eye: a doctor. "
            "Somebody else tends the taps. CALL.",
        ),
    ]


def _clock(plan: PlanDocument, stop: str) -> list[WhatIf]:
    """At the latest minute of the plan, never later than the gel clock limit, whose minutes run from the initiator."""
    limit = minutes(plan.gel_limit_s, short=is_short(plan.wet_out_s), rounded=math.floor)
    by = min(latest_wet_min(plan) or limit, limit, key=float)
    return [
        WhatIf(happens=f"Not all wet at min {by}", do=f"CALL at min {by}, or at STOP TIME where that comes first."),
        WhatIf(
            happens="STOP TIME reached",
            do="CALL TEN MINUTES BEFORE: the person in charge decides what is done. Nothing decided: "
            f"{stop}Open nothing more. SHUT EVERY OPEN TAP. Clamp nothing more: vents open, PUMP ON, unless resin "
            "reaches the pump. Mixed resin and pots: as under the last step.",
        ),
    ]
