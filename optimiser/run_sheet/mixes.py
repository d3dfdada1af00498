"""Resin and initiator put together: how, and a table with room for what was weighed.

The initiator percentage is mass of initiator per mass of resin, and resin is counted as bought, before the initiator.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor

import numpy as np

from optimiser.case.amounts_document import PlannedMix
from optimiser.case.plan_document import PlanDocument
from optimiser.case.trigger_words import span
from optimiser.run_sheet.bleeding import drawn_with_bled_kg, poured_before_bleeding_kg, shared_kg
from optimiser.run_sheet.container_mix import HOSE_END, container_mix, second_mix_by
from optimiser.run_sheet.reserve_mixes import reserve_mixes
from optimiser.run_sheet.supply import SupplyIs, is_bled, left_kg, supply_is
from optimiser.run_sheet.wording import BLANK, SHORT_BLANK, grams_up, is_short, minutes, number, to_have_kg
from optimiser.units import min_from_s

MIXING = "Mixing"
"""The head over it."""
MOST_ROWS = 12
POT_ROWS = 10
_POTS_KG = (1, 2, 3, 4, 5, 6, 7, 8, 9, 10)
IF_SHORT = "only if short"
WHEN_SHORT = (
    "'Only if short': {at} look at the front. Begin the mix, unless the person in charge is sure that all is wet "
    "before the container runs low."
)
CUPS = (
    "GEL CUP: one of each mix, its number and the time of its initiator on it, beside the part. Thick sooner than "
    "planned: CALL."
)
IN_PAILS = (
    "In pails of at most the largest pail; the clock starts at the FIRST pail. A deep pail gels sooner than the part: "
    "warm = CALL."
)
BEGIN, POURED = "Initiator in when", "In the container by"
HEADS = ("Resin, kg", "Initiator, g", "Weighed / seen by", "Initiator in, time", "Used up at")


@dataclass(frozen=True, kw_only=True)
class Mixes:
    """Sentences, then a table; no heads: no table."""

    says: tuple[str, ...]
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def mixes_of(plan: PlanDocument) -> Mixes:
    """How this supply is mixed."""
    match supply_is(plan):
        case SupplyIs.MACHINE:
            return Mixes(says=(*_machine(plan), _in_all(plan)), heads=(), rows=())
        case SupplyIs.MIXES:
            return _counted(plan)
        case SupplyIs.CONTAINER:
            return _pots(plan)


def initiator_in_all(plan: PlanDocument) -> str:
    """The least to have, in grams: the share of the resin as printed, so that whoever checks the sum on paper finds it.

    Never less than what all mixes together are weighed.
    """
    return f"{grams_up(max(_share_of_all_g(plan), _mixed_g(plan)))} g"


def _in_all(plan: PlanDocument) -> str:
    exact_g, mixed_g = _share_of_all_g(plan), _mixed_g(plan)
    level = "the level is the data sheet's of this batch."
    if mixed_g > grams_up(exact_g):
        return (
            f"Initiator in all: {initiator_in_all(plan)}, as the mixes are weighed, each to its own gram; "
            f"{_of_resin(plan)} are {grams_up(exact_g)} g; {level}"
        )
    less = f" The mixes, each to its own gram, add up to {mixed_g:.10g} g." if 0 < mixed_g < grams_up(exact_g) else ""
    return f"Initiator in all: {initiator_in_all(plan)}, which is {_of_resin(plan)}; {level}{less}"


def _share_of_all_g(plan: PlanDocument) -> float:
    return 10 * to_have_kg(plan.resin.total_kg) * plan.resin.initiator_percent


def _mixed_g(plan: PlanDocument) -> float:
    """What all mixes together are weighed, as the table says it; 0: none are counted, or their size is not known."""
    mix_kg, count = plan.conditions.mix_kg, plan.resin.mixes
    if mix_kg is None or not count:
        return 0.0
    full_g, last_g = (_initiator_g(plan, _resin_kg(plan, one, mix_kg)) for one in (1, count))
    return (count - 1) * full_g + last_g


def _by_pot(plan: PlanDocument) -> tuple[str, ...]:
    """What is weighed into a pail, whatever its size: the total is what to have, not what to pour."""
    grams = {kg: f"{kg} kg: {number(_initiator_g(plan, kg))} g" for kg in _POTS_KG}
    return (
        f"{number(10 * plan.resin.initiator_percent)} g of initiator for each 1 kg of resin in a pail; NEVER all into "
        "one pail. "
        f"{' · '.join(grams.values())}. By SCALE in grams, never by millilitres; a second one looks on and signs. "
        f"Resin weighed first, initiator in, STIR {SHORT_BLANK} min, slowly, wall and bottom scraped, no air whipped "
        "in.",
    )


def _of_resin(plan: PlanDocument) -> str:
    return f"{number(plan.resin.initiator_percent)} % of the mass of the resin"


def _machine(plan: PlanDocument) -> tuple[str, ...]:
    grams = number(10 * plan.resin.initiator_percent)
    return (
        f"DO NOT BATCH MIX: machine ratio {number(plan.resin.initiator_percent)} %, to 1000 g resin {grams} g "
        "initiator, streams apart or at the sample tap as its maker says, all into a pail, never into the hose; "
        f"accept {SHORT_BLANK} to {SHORT_BLANK} g, as the person in charge has decided. Weighed "
        f"{SHORT_BLANK} g resin, {SHORT_BLANK} g initiator, by {BLANK}, seen by {BLANK}.",
    )


def _counted(plan: PlanDocument) -> Mixes:
    count, mix_kg = plan.resin.mixes or 0, plan.conditions.mix_kg
    shown = range(1, min(count, MOST_ROWS) + 1)
    rows = tuple((str(one), *_share(plan, one, mix_kg), "", "", "") for one in shown)
    last = "" if mix_kg is None else f", the last {_resin_kg(plan, count, mix_kg):.{_decimals(mix_kg)}f} kg"
    cut = f" The table shows {MOST_ROWS} of them; the others up to {count} alike{last}."
    more = cut if count > MOST_ROWS else ""
    says, heads = (_in_all(plan), *_by_pot(plan), CUPS), ("Mix", *HEADS)
    if not plan.mixes or plan.mixes[0].initiator_in_at_s >= 0:  # the case does not say how long a mix takes
        when = f"Mixes: {count}. Mix the next only when the one before runs low.{more}"
        return Mixes(says=(when, *says), heads=heads, rows=rows)
    at = "kg drawn" if is_bled(plan) else "kg in"
    begins = [(_begin(plan, one, at), _pour_by(plan, one, at)) for one in plan.mixes]
    reserve = reserve_mixes(plan)
    begins += [
        (f"{_floor_kg(one.begin_at_kg)} {at}, {IF_SHORT}", f"{_floor_kg(one.pour_by_kg)} {at}")
        for one in reserve
    ]
    look_at = "at that weight" if reserve else "when the mix before it is poured in"
    begins += [(IF_SHORT, "")] * count
    return Mixes(
        says=(
            f"Mixes: {count}.{more} Initiator in when '{at}' is what stands here, not by the minute; in the container "
            f"by the second figure and before the scale reads LOW{_then_left(plan)}. A HOSE END THAT COMES FREE DRAWS "
            "AIR. Poured on a rest, all in the container is as old as its OLDEST resin: past its gel limit it stays "
            "out of the line and goes where the cautions say.",
            *((WHEN_SHORT.format(at=look_at),) if count > len(plan.mixes) else ()),
            *says,
        ),
        heads=(heads[0], BEGIN, POURED, *heads[1:]),
        rows=tuple((row[0], *begin, *row[1:]) for row, begin in zip(rows, begins, strict=False)),
    )


def _begin(plan: PlanDocument, mix: PlannedMix, at: str) -> str:
    """When its initiator goes in, the first as long before the first tap as is counted. at: what the kilograms are
    read from.

    The plan counts a bleeding for every tap; where steps share one the scale reads less by then.
    """
    if mix.begin_at_drawn_kg is None:
        before_min = ceil(min_from_s(-mix.initiator_in_at_s))
        if mix.number == 1:
            before_min = minutes_before_first_tap(plan) or before_min
        return f"{before_min} min before 1st tap"
    begin_kg = mix.begin_at_drawn_kg - shared_kg(plan, mix.initiator_in_at_s)
    at_min = minutes(mix.initiator_in_at_s, short=is_short(plan.wet_out_s), rounded=floor)
    return f"{_floor_kg(begin_kg)} {at} (min {at_min})"


def minutes_before_first_tap(plan: PlanDocument) -> int | None:
    """When the first mix has its initiator; None: the case does not say how long a mix takes."""
    if not plan.mixes or plan.mixes[0].initiator_in_at_s >= 0:
        return None
    before_min = ceil(min_from_s(-plan.mixes[0].initiator_in_at_s))
    counted_s = 0.0 if plan.gel_clock is None else plan.gel_clock.age_at_first_tap_s
    return max(before_min, floor(min_from_s(counted_s)))


def first_mix(plan: PlanDocument) -> str:
    """', 5.0 kg + 75 g'; empty: the case does not say what a mix is."""
    resin_kg, initiator_g = _share(plan, 1, plan.conditions.mix_kg)
    return f", {resin_kg} kg + {initiator_g} g" if resin_kg else ""


def begun_before_zero(plan: PlanDocument) -> list[tuple[int, int]]:
    """Mixes whose initiator goes in before the first tap, and how many minutes before."""
    return [
        (mix.number, ceil(min_from_s(-mix.initiator_in_at_s)))
        for mix in plan.mixes
        if mix.begin_at_drawn_kg is None and mix.initiator_in_at_s < 0
    ]


def _then_left(plan: PlanDocument) -> str:
    """How long what is left in the container lasts on the fast day, where shortest: that is the last moment."""
    time_s, rest_kg = plan.consumption.time_s, left_kg(plan)
    drawn_kg = drawn_with_bled_kg(plan)
    wanted_kg = [poured_by_kg(plan, one) for one in plan.mixes]
    lasts_s = [
        float(np.interp(kg + rest_kg, drawn_kg, time_s) - np.interp(kg, drawn_kg, time_s))
        for kg in wanted_kg
        if kg is not None and drawn_kg and kg + rest_kg < drawn_kg[-1]
    ]
    if not lasts_s:
        return ""
    lasts = span(floor(min(lasts_s) / (1 + plan.permeability_spread_percent / 100)))
    return f", SOONER where it has room: what is left then, {number(rest_kg)} kg, lasts {lasts}"


def _pour_by(plan: PlanDocument, mix: PlannedMix, at: str) -> str:
    if mix.number == 1:
        return "before zero"
    kg = poured_by_kg(plan, mix)
    return "" if kg is None else f"{_floor_kg(kg)} {at}"


def poured_by_kg(plan: PlanDocument, mix: PlannedMix) -> float | None:
    """As the plan says, but never while it is bled."""
    return None if mix.pour_by_drawn_kg is None else poured_before_bleeding_kg(plan, mix.pour_by_drawn_kg)


def _floor_kg(kg: float) -> str:
    return f"{floor(10 * kg) / 10:.1f}"


def _share(plan: PlanDocument, one: int, mix_kg: float | None) -> tuple[str, str]:
    """Resin and initiator of one mix, as they are weighed."""
    if mix_kg is None:
        return "", ""
    resin_kg = _resin_kg(plan, one, mix_kg)
    return f"{resin_kg:.{_decimals(mix_kg)}f}", number(_initiator_g(plan, resin_kg))


def _resin_kg(plan: PlanDocument, one: int, mix_kg: float) -> float:
    """A full mix as the case states it; the last takes what is left, so that all add up to the total as printed."""
    if one < (plan.resin.mixes or 0):
        return mix_kg
    return round(max(0.0, to_have_kg(plan.resin.total_kg) - (one - 1) * mix_kg), _decimals(mix_kg))


def _decimals(mix_kg: float) -> int:
    """A tenth of a kilogram, finer only where a full mix is stated finer."""
    return max(1, len(number(mix_kg).partition(".")[2]))


def _initiator_g(plan: PlanDocument, resin_kg: float) -> float:
    """A dose, not a least amount: to the nearest gram, in a small mix to the nearest tenth."""
    dose_g = 10 * resin_kg * plan.resin.initiator_percent
    return round(dose_g, 0 if dose_g >= 10 else 1)


def _first_and_rest(plan: PlanDocument) -> tuple[str, ...]:
    """What is weighed before the first tap and what after; then by when the second mix must be in."""
    mix, by = container_mix(plan), second_mix_by(plan)
    if mix is None:
        return ()
    first = f"FIRST MIX {mix.resin_kg:.1f} kg: {mix.initiator_g} g"
    rest = (
        f" · THE REST {mix.rest_kg:.1f} kg: {mix.rest_g} g · together {mix.initiator_g + mix.rest_g} g"
        if mix.rest_kg
        else ", which is all"
    )
    said = f"{first}{rest}. {IN_PAILS}"
    poured = f"SECOND MIX IN THE CONTAINER by {by}: at least a tenth of the first is left then. {HOSE_END}."
    return (said, poured) if by else (said,)


def _pots(plan: PlanDocument) -> Mixes:
    return Mixes(
        says=(
            f"Largest pail {SHORT_BLANK} kg, as the data sheet allows. Mix no more than is used before it gels.",
            *_first_and_rest(plan),
            _in_all(plan),
            *_by_pot(plan),
            CUPS,
        ),
        heads=("Mix", *HEADS),
        rows=tuple((str(one), *[""] * len(HEADS)) for one in range(1, POT_ROWS + 1)),
    )
