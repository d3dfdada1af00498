"""What has to be true before step 1, and how the table under it is read."""

from __future__ import annotations

from optimiser.case.mistake_words import TO_FIRST_TAP_S
from optimiser.case.plan_document import PlanDocument
from optimiser.case.shown_label import shown_label
from optimiser.case.varied_words import stays_clean_often
from optimiser.run_sheet.bleeding import FLUSH_VALVE
from optimiser.run_sheet.checks_before import BEFORE_FIRST_TAP
from optimiser.run_sheet.container_mix import container_mix
from optimiser.run_sheet.last_vent import NEVER_ALL
from optimiser.run_sheet.mixes import MIXING, begun_before_zero, first_mix, minutes_before_first_tap
from optimiser.run_sheet.part_way_marks import part_way_steps
from optimiser.run_sheet.supply import SupplyIs, is_bled, supply_is, without_supply_hose
from optimiser.run_sheet.wording import BLANK, CLOCK_BLANK, SHORT_BLANK, number
from optimiser.units import min_from_s

GO_HEAD = "STOP before step 1"
TURN_NOW = "TURN NOW: next step is due in the same minute"


def go_ticks(*, checks_at: str, cautions_at: str, start: tuple[str, ...]) -> tuple[str, ...]:
    """Things to tick, in the order of the morning; `checks_at` and `cautions_at` say where on this sheet they stand,
    `start` comes last."""
    return (
        f"checks ({checks_at}) ticked, but for '{BEFORE_FIRST_TAP}'",
        f"cautions ({cautions_at}) read out",
        f"GO given by {BLANK} at {CLOCK_BLANK}",
        *start,
    )


def _fill(plan: PlanDocument) -> str:
    """With every tap shut the manifold is a dead end, and the air in it stays. It ends also where fresh resin foams.
    Common practice, no source.
    """
    ends = "at the FIRST MARK at the latest" if is_bled(plan) else "at ____ l in the pot at the latest"
    return (
        f"hose and manifold FULL up to the SHUT taps: {FLUSH_VALVE} open A LITTLE until no bubbles IN THE HOSE, "
        f"{ends}, SHUT; still bubbles: CALL"
    )


def start_ticks(plan: PlanDocument) -> tuple[str, ...]:
    """From GO to the first tap. How a machine is started and hoses are filled is its maker's and the yard's to say;
    it is not left to press against shut taps.
    """
    opens = min((step for step in plan.steps if step.action == "open"), key=lambda step: step.order, default=None)
    first = "STEP 1" if opens is None else f"Step {opens.order} = OPEN {shown_label(opens.label, opens.kind)}"
    by_clock = any(step.trigger.kind == "clock" for step in plan.steps)
    clock = (f"{BLANK} writes the time of day into each step marked CLOCK when step 1 opens",) if by_clock else ()
    later = [one for one in begun_before_zero(plan) if one[0] > 1]
    if supply_is(plan) is SupplyIs.MACHINE:
        return (
            *_unstated_hose(plan),
            *_days_that_fail(plan),
            f"RATIO {number(plan.resin.initiator_percent)} % WEIGHED ('{MIXING}'), hose NOT joined yet. If not: CALL",
            f"hose JOINED; THEN cap set{_cap_mbar(plan)}, signed {SHORT_BLANK}",
            "START MACHINE as its maker says: initiator in, times filled in above",
            f"{_fill(plan)}; machine STOPPED, counter at zero",
            *clock,
            f"checks '{BEFORE_FIRST_TAP}' ticked. On ONE WORD: {first}, machine ON; never more than ____ s on shut "
            "taps",
        )
    return (
        *_unstated_hose(plan),
        *_days_that_fail(plan),
        _first_mix(plan),
        f"{_fill(plan)}; scale WRITTEN, no tare",
        *(f"MIX {mix} BEGUN {minutes} min before step 1, initiator in at {CLOCK_BLANK}" for mix, minutes in later),
        *clock,
        f"checks '{BEFORE_FIRST_TAP}' ticked. {first}; WRITE its time above",
    )


def _first_mix(plan: PlanDocument) -> str:
    """What must be mixed before the first tap, and when: a mix as the table has it; else what is gone by the time that
    the next can be there, on the fast day, with hose and manifold.
    """
    when = "initiator in when all above is ticked"
    if supply_is(plan) is SupplyIs.MIXES:
        share, before = first_mix(plan), minutes_before_first_tap(plan)
        in_time = when if before is None else f"initiator in {before} min before step 1"
        return f"MIX 1{share}: {in_time}, WRITE above"
    mix = container_mix(plan)
    if mix is None:
        return f"FIRST MIX MADE: {when}, WRITE its time above"
    first_min = f"manifold, first {min_from_s(TO_FIRST_TAP_S):.0f} min"
    gone = f"{first_min}; PLUS the supply hose" if without_supply_hose(plan) else f"hose, {first_min}"
    per_kg = f"{number(10 * plan.resin.initiator_percent)} g for each kg"
    return (
        f"FIRST MIX MADE, {mix.resin_kg:.1f} kg or more ({gone}), {mix.initiator_g} g of initiator in it, more resin: "
        f"{per_kg}. In PAILS of at most the largest pail: {when}, WRITE the time of the FIRST PAIL above; warm = CALL"
    )


def _unstated_hose(plan: PlanDocument) -> tuple[str, ...]:
    """Before anything is mixed: a hose that is in no figure of the plan is somebody's decision."""
    if not without_supply_hose(plan):
        return ()
    return (
        f"SUPPLY HOSE not counted: ____ kg more, ____ min slower, off the LATEST FIRST TAP; allowed by {BLANK}",
    )


def _days_that_fail(plan: PlanDocument) -> tuple[str, ...]:
    """Where the plan holds as stated and fails in too many of the days that were played, or in none was played,
    somebody decides."""
    found = plan.robustness
    if found is None:
        return (f"NOT PLAYED for cold, vacuum, late crew; accepted by {BLANK}",)
    if stays_clean_often(found):
        return ()
    return (
        f"IT FAILS in {found.variations - found.clean} of {found.variations} played days "
        f"({found.locked} lock air); accepted by {BLANK}",
    )


def _cap_mbar(plan: PlanDocument) -> str:
    return f" to {number(plan.conditions.pressure_cap_mbar_abs)} mbar abs"


HOW_TO_READ: tuple[str, ...] = (
    "'Nothing dry is left between A and B': look through the bag over the whole strip between the two lines, "
    "ends and joints too: no pale spot, next line full.",
    f"{NEVER_ALL}: feeds SHUT before WHICHEVER vent is last.",
    "'kg in': through the supply since the first tap, with supply hose and manifold FULL at zero, hoses and lines "
    "behind the taps EMPTY. Minute and kg: when a step is DONE; 'After … kg in': when it is DUE. In brackets, rounded "
    "down: ready from the first minute, past the second it is LATE: CALL. "
    "'first seconds: … kg/min': all open taps together, soon far less; to look at, not to set.",
)
"""Said once, above the table."""

_PART_WAY = (
    "'{first}': so much of its length, by the PEN MARKS on the bag. There all as above; the rest may still be pale. "
    "Less than that: wait. PALE WITH WET ON BOTH SIDES of it: wait until that is wet too."
)


def how_to_read(plan: PlanDocument) -> tuple[str, ...]:
    """What is waited for, and what the figures are."""
    waits = [step.trigger.says for step in part_way_steps(plan)]
    part_way = (_PART_WAY.format(first=waits[0]),) if waits else ()
    return (*_numbers_that_mislead(plan), HOW_TO_READ[0], *part_way, *HOW_TO_READ[1:])


def _numbers_that_mislead(plan: PlanDocument) -> tuple[str, ...]:
    """Where labels are bare numbers, and others than those of their steps."""
    others = [step for step in plan.steps if step.label.isdecimal() and step.label != str(step.order)]
    if not others:
        return ()
    pairs = ", ".join(f"step {step.order} is {shown_label(step.label, step.kind)}" for step in others[:2])
    return (f"STEP NUMBERS ARE NOT TAP NUMBERS: {pairs}.",)


def own_trigger(together_at: str | None) -> str:
    """The one rule of order. `together_at` says where the sheet names steps of which one must come first; None: there
    are none.
    """
    but = "" if together_at is None else f" Only 'Due together' ({together_at}) says otherwise."
    return (
        "Each step is done when its own trigger comes, also if that is before an earlier step: never sooner, never "
        f"left out.{but} In the same minute: any order, but where the table says one. NAME taps by LABEL, never by a "
        "bare number. CALL: tell the person in charge, at once."
    )
