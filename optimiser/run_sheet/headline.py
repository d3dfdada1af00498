"""What stands at the top of the first page: the job, the verdict in big words, what the plan holds for."""

from __future__ import annotations

import math
from dataclasses import dataclass

from optimiser.case.plan_document import PlanDocument, Verdict
from optimiser.run_sheet.supply import SupplyIs, supply_is
from optimiser.run_sheet.typeface import NO_BREAK
from optimiser.run_sheet.wording import CLOCK_BLANK, is_short, minute_range, minutes, number
from optimiser.units import min_from_s

NOT_COVERED = "Not covered: leaks, race tracks, other temperatures or batches."
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
        return f"for the conditions below and for no others. {NOT_COVERED} The person in charge releases the shot."
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
    gel = minutes(plan.gel_time_s, short=short, rounded=math.floor)
    begins = "the first tap" if _from_first_tap(plan) else "initiator in"
    wet = "not all wet" if plan.wet_out_s is None else f"min {minutes(plan.wet_out_s, short=short, rounded=math.ceil)}"
    spread = minute_range(*plan.spread_wet_out_s, short=short)
    return [
        Fact(
            name="GEL CLOCK LIMIT",
            value=f"min {limit}",
            note=f"from {begins}: resin everywhere before this. Gel at min {gel}, of which "
            f"{number(100 * plan.conditions.gel_fraction)}{NO_BREAK}% may be used.",
        ),
        Fact(name="All wet, expected", value=wet, note="from the first tap" + (f", range {spread}" if spread else "")),
    ]


def stop_time(plan: PlanDocument) -> str:
    """The sum that the crew does on paper, with the clock on the wall."""
    if _from_first_tap(plan):
        return f"First tap at {CLOCK_BLANK} + {_limit(plan)} min = STOP TIME {CLOCK_BLANK}"
    return f"Initiator in at {CLOCK_BLANK} + {_limit(plan)} min = STOP TIME {CLOCK_BLANK}"


def clock_rule(plan: PlanDocument) -> str:
    """The table's minutes and the resin's minutes start at different moments."""
    machine = supply_is(plan) is SupplyIs.MACHINE
    begins = "first mixed resin out of the machine" if machine else "first mix or pot of this shot"
    if _from_first_tap(plan):
        return f"Min 0 of the table is the FIRST TAP. Initiator in: {begins}, {_counted(plan)}"
    if plan.gel_clock is not None:
        return f"Initiator in: {begins}. Min 0 of the table is the FIRST TAP, at {CLOCK_BLANK}, {_counted(plan)}"
    return (
        f"Initiator in: {begins}. Min 0 of the table is the FIRST TAP, at {CLOCK_BLANK}: "
        f"the minutes between the two come off the {_limit(plan)}."
    )


def _counted(plan: PlanDocument) -> str:
    """What the run counts with: resin that is older at the first tap is thicker and gels sooner."""
    age_s = 0.0 if plan.gel_clock is None else plan.gel_clock.age_at_first_tap_s
    return f"at most {math.floor(min_from_s(age_s))} min after initiator in. MORE THAN THAT: DO NOT OPEN, plan again."


def _from_first_tap(plan: PlanDocument) -> bool:
    """The limit is that of several mixes or of resin out of a machine, so no one pot's clock tells it."""
    return plan.gel_clock is not None and plan.gel_clock.judged_by == "each_place"


def _limit(plan: PlanDocument) -> str:
    """From initiator in, or from the first tap."""
    age_s = 0.0 if plan.gel_clock is None or _from_first_tap(plan) else plan.gel_clock.age_at_first_tap_s
    return minutes(plan.gel_limit_s + age_s, short=is_short(plan.wet_out_s), rounded=math.floor)


READ_FIRST = "Read the cautions on this sheet before anything is mixed."
