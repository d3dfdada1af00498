"""What stands at the top of the first page: the job, the verdict in big words, what the plan holds for."""

from __future__ import annotations

import math
from dataclasses import dataclass

from optimiser.case.mistake_words import TO_FIRST_TAP_S
from optimiser.case.plan_document import PlanDocument, Verdict
from optimiser.run_sheet.ranges import wet_out_range
from optimiser.run_sheet.supply import SupplyIs, supply_is
from optimiser.run_sheet.typeface import NO_BREAK
from optimiser.run_sheet.wording import CLOCK_BLANK, is_short, minutes, number
from optimiser.units import min_from_s

NOT_COVERED = "Not covered: leaks, race tracks, other temperatures or batches."
SOME_COVERED = "Not covered: leaks, gaps that the case does not name, other temperatures or batches."
"""Where the case names race tracks."""
_NOTHING_MIN = 0.05
"""Half of the finest minute that is printed."""
DO_NOT_INFUSE = "DO NOT INFUSE FROM THIS SHEET"


@dataclass(frozen=True, kw_only=True)
class Fact:
    """One thing the crew compares with the morning."""

    name: str
    value: str
    note: str = ""


def is_verified(plan: PlanDocument) -> bool:
    return plan.verdict is Verdict.VERIFIED


def verdict_words(plan: PlanDocument) -> str:
    return "VERIFIED BY CALCULATION" if is_verified(plan) else DO_NOT_INFUSE


def verdict_note(plan: PlanDocument) -> str:
    if is_verified(plan):
        left_out = SOME_COVERED if plan.map.race_tracks or plan.resin.race_tracks_kg else NOT_COVERED
        return f"for the conditions below and for no others. {left_out} The person in charge releases the shot."
    return "Why stands below. Nothing on this sheet is an order."


def facts(plan: PlanDocument) -> list[Fact]:
    """Resin, initiator, temperatures and vacuum the plan holds for."""
    at = plan.conditions
    low, high = at.initiator_range_percent
    return [
        Fact(name="Resin", value=at.resin, note=f"batch {at.batch}"),
        Fact(
            name="Initiator",
            value=f"{number(at.initiator_percent)} % of the resin",
            note=f"maker's range as entered {number(low)} to {number(high)}{NO_BREAK}%",
        ),
        Fact(name="Mould", value=f"{number(at.mould_temperature_c)} °C"),
        Fact(name="Resin temperature", value=f"{number(at.resin_temperature_c)} °C"),
        Fact(name="Vacuum", value=f"{number(at.vacuum_mbar_abs)} mbar abs or lower"),
        Fact(name="Supply", value=at.supply),
    ]


def clock_facts(plan: PlanDocument) -> list[Fact]:
    """When all is wet, and the gel limit."""
    short, limit = is_short(plan.wet_out_s), _limit(plan)
    wet = "not all wet" if plan.wet_out_s is None else f"min {minutes(plan.wet_out_s, short=short, rounded=math.ceil)}"
    (early_s, late_s), late = wet_out_range(plan), latest_wet_min(plan)
    early = None if early_s is None else minutes(early_s, short=short, rounded=math.floor)
    spread = f"{early}–{late}" if early and late and early_s != late_s and early != late else ""
    return [
        Fact(
            name="GEL CLOCK LIMIT, AGE OF THE MIX",
            value=f"{limit} min old",
            note=f"from initiator in: resin everywhere before this. {_gel_sum(plan)}",
        ),
        Fact(
            name="All wet, expected, TABLE MINUTE",
            value=wet,
            note="from the first tap" + (f", range {spread}" if spread else ""),
        ),
    ]


def latest_wet_min(plan: PlanDocument) -> str | None:
    """Past it the crew CALLS, so rounded down, but never sooner than all wet is expected; None: not known, or never."""
    late_s, short = wet_out_range(plan)[1], is_short(plan.wet_out_s)
    if late_s is None:
        return None
    expected = "0" if plan.wet_out_s is None else minutes(plan.wet_out_s, short=short, rounded=math.ceil)
    return max(minutes(late_s, short=short, rounded=math.floor), expected, key=float)


def _gel_sum(plan: PlanDocument) -> str:
    """Where the limit comes from, as a sum that comes out on paper."""
    short, share = is_short(plan.wet_out_s), f"{number(100 * plan.conditions.gel_fraction)}{NO_BREAK}%"
    gel = minutes(plan.gel_time_s, short=short, rounded=math.floor)
    return f"Gel {gel} min after initiator, of which {share} may be used."


def stop_time(plan: PlanDocument) -> str:
    """The sum that the crew does on paper, with the clock on the wall. One zero on every sheet: initiator in, whatever
    comes between that and the first tap.
    """
    first = " (MIX 1)" if supply_is(plan) is SupplyIs.MIXES else ""
    return f"Initiator in{first} at {CLOCK_BLANK} + {_limit(plan)} min = STOP TIME {CLOCK_BLANK}"


def latest_first_tap(plan: PlanDocument) -> str:
    """The limit less the time to all wet, of the slow case where the plan has one, as a sum that is filled in."""
    slow_s = _slow_wet_out_s(plan)
    if slow_s is None:
        return "LATEST FIRST TAP: none can be given, the slow case is never all wet. Do not mix. CALL."
    short, age_s = is_short(plan.wet_out_s), _age_s(plan)
    spare_s = plan.gel_limit_s - slow_s
    slow = minutes(slow_s, short=short, rounded=math.ceil)
    if spare_s < 0 or (plan.gel_clock is None and _spare_min(plan, slow_s) < 1):
        limit = minutes(plan.gel_limit_s, short=short, rounded=math.floor)
        return (
            f"LATEST FIRST TAP: none. All wet takes up to {slow} min from the first tap, the limit leaves {limit}. "
            "Do not mix. CALL."
        )
    given = f"LATEST FIRST TAP: initiator + {{0}} min = {CLOCK_BLANK}, {{0}} min OLD. Past it: do not open, CALL."
    counted = math.floor(min_from_s(age_s))
    if may_be_later(plan) and spare_s >= 60.0:
        return given.format(math.floor(min_from_s(age_s + spare_s)))
    return given.format(_spare_min(plan, slow_s) if plan.gel_clock is None else counted)


def latest_first_tap_note(plan: PlanDocument) -> str:
    """Where its minutes come from; empty: none are given, or the rule of the clock says it."""
    slow_s = _slow_wet_out_s(plan)
    if plan.gel_clock is not None or slow_s is None or _spare_min(plan, slow_s) < 1:
        return ""
    slow, spare_s = _slow_min(plan, slow_s), plan.gel_limit_s - slow_s
    more = float(_limit(plan)) - float(slow) - _spare_min(plan, slow_s)
    rounded = f" and {more:.3g} min that rounding hides" if more > _NOTHING_MIN else ""
    which = "as expected, no slow case is known" if wet_out_range(plan)[1] is None else "in the slow case"
    short = " THAT IS SHORT: initiator in only when all else stands ready." if spare_s < TO_FIRST_TAP_S else ""
    return f"Latest first tap: {_limit(plan)} min less {slow} min to all wet {which}{rounded}.{short}"


def may_be_later(plan: PlanDocument) -> bool:
    """Then a later first tap only takes from the minutes in hand; resin that thickens was not played any older."""
    clock = plan.gel_clock
    if clock is None or clock.temperatures or clock.viscosity_wet_out_mpa_s is None:
        return False
    same = math.isclose(clock.viscosity_first_tap_mpa_s, clock.viscosity_wet_out_mpa_s, rel_tol=1e-3)
    return same and math.isclose(clock.viscosity_first_tap_mpa_s, plan.conditions.viscosity_mpa_s, rel_tol=1e-3)


def _slow_wet_out_s(plan: PlanDocument) -> float | None:
    """As it is printed beside the expected one; None: never all wet."""
    fast_s, slow_s = wet_out_range(plan)
    return slow_s if slow_s is not None or fast_s is not None else plan.wet_out_s


def _slow_min(plan: PlanDocument, slow_s: float) -> str:
    """The same figure as at the head of the sheet: the end of the range, or all wet as expected."""
    return latest_wet_min(plan) or minutes(slow_s, short=is_short(plan.wet_out_s), rounded=math.ceil)


def _spare_min(plan: PlanDocument, slow_s: float) -> int:
    """Whole minutes between the limit and the slow case; no more than the printed figures leave."""
    left_min = float(_limit(plan)) - float(_slow_min(plan, slow_s))
    return math.floor(round(min(min_from_s(plan.gel_limit_s - slow_s), left_min), 6))


def _age_s(plan: PlanDocument) -> float:
    """What the run counts with at the first tap."""
    return 0.0 if plan.gel_clock is None else plan.gel_clock.age_at_first_tap_s


def clock_rule(plan: PlanDocument) -> str:
    """The table's minutes and the resin's minutes start at different moments."""
    machine = supply_is(plan) is SupplyIs.MACHINE
    begins = "first mixed resin out of the machine" if machine else "first mix of this shot"
    two_clocks = (
        f"TWO CLOCKS. Age of the mix, 'min old': from initiator in, {begins}. Table minute, as 'min 7': from the FIRST "
        f"TAP, at {CLOCK_BLANK}"
    )
    if plan.gel_clock is not None:
        return f"{two_clocks}, {_counted(plan)}"
    return f"{two_clocks}. Take nothing off the STOP TIME again."


def _counted(plan: PlanDocument) -> str:
    """What the run counts with: resin that is older at the first tap is thicker and gels sooner."""
    at_most = math.floor(min_from_s(_age_s(plan)))
    if may_be_later(plan):
        scarce = " THAT IS SHORT: only when all else stands ready." if _age_s(plan) < TO_FIRST_TAP_S else ""
        return f"counted {at_most} min after initiator in, never past LATEST FIRST TAP.{scarce}"
    return (
        f"at most {at_most} min after initiator in. "
        "MORE THAN THAT: DO NOT OPEN, resin out as the cautions say, plan again."
    )


def _limit(plan: PlanDocument) -> str:
    """From initiator in: the limit of the plan, from the first tap, and the age that it counts with by then. A later
    first tap only takes from the minutes in hand.
    """
    return minutes(plan.gel_limit_s + _age_s(plan), short=is_short(plan.wet_out_s), rounded=math.floor)


READ_FIRST = "CALL ten minutes before STOP TIME. Read the cautions on this sheet before anything is mixed."
