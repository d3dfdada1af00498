"""Checks before the shot: what the plan was made for, beside a blank for what the morning shows."""

from __future__ import annotations

import math
from dataclasses import dataclass

from optimiser.case.amounts_document import Leak, ResinQuantities
from optimiser.case.gel_clock_words import gel_clock_lines, temperatures_words
from optimiser.case.plan_document import Conditions, PlanDocument
from optimiser.case.printed_leak import printed_leak
from optimiser.case.shown_label import shown_label
from optimiser.run_sheet.bleeding import AT_THE_FAR_END, FLUSH_VALVE, bled_once_for
from optimiser.run_sheet.check import Check, CheckGroup
from optimiser.run_sheet.headline import may_be_later
from optimiser.run_sheet.identity import sheet_mark
from optimiser.run_sheet.mixes import initiator_in_all
from optimiser.run_sheet.part_way_marks import pen_marks
from optimiser.run_sheet.supply import SUPPLY_HOSE, SupplyIs, is_bled, left_kg, supply_is, without_supply_hose
from optimiser.run_sheet.taps import taps_of
from optimiser.run_sheet.who_stands import people
from optimiser.run_sheet.wording import number, to_have
from optimiser.units import min_from_s

OFF = "Any reading outside what is printed: do not mix, do not open, CALL."
_ALLOWED = ", within ± ____ °C as the person in charge has decided"
"""How far off a reading may be is not in the plan."""
_WHOLE_M3_PER_H = 10.0
"""A pump of this much or more is told in whole m3/h."""
LEAST_ABOVE_DEW_C = 3
"""Mould over dew point. Common practice, no source."""
BEFORE_INITIATOR, BEFORE_FIRST_TAP = "Before initiator goes in", "Just before the first tap"


def check_groups(plan: PlanDocument) -> list[CheckGroup]:
    """In the order of the morning: people, taps, bag, climate and resin are dry work, before anything gels. Taps stand
    as in the shot while the bag is tested, and the pump is on again before any resin is mixed.
    """
    dry = (
        *people(plan),
        *_taps(plan),
        *pen_marks(plan),
        *_bag(plan),
        *_climate(plan.conditions),
        *_resin(plan),
        *_empty_container(plan),
        *_machine(plan),
        Check(
            what="Under the last step of the tap table: the yard's decision filled in",
            planned="and EVERY OTHER BLANK of the sheet that is no reading or time of the shot",
            blank="",
        ),
    )
    wet = (_into_the_pot(plan), _vacuum_again(plan.conditions), *_age(plan), *_supply(plan))
    return [CheckGroup(head=BEFORE_INITIATOR, rows=dry), CheckGroup(head=BEFORE_FIRST_TAP, rows=wet)]


def _into_the_pot(plan: PlanDocument) -> Check:
    """Counted where the plan bleeds as often as the pot has marks; a pot on the pump is read, not weighed."""
    density, bled = plan.conditions.resin_density_kg_per_m3 * 1e-3, bled_once_for(plan)
    marks_kg = (len(bled) + 1) * max((share[0].bled_before_litres or 0.0 for share in bled), default=0.0) * density
    counted = bool(bled) and marks_kg <= (plan.resin.bled_kg or 0.0) + 0.05
    by_now = "" if bled else ", so NOW"
    off = "are in 'Let into the flush pot' below" if counted else "come off the reserve"
    return Check(
        what="Went into the flush pot while hose and manifold were filled",
        planned=f"litres at the mark x {number(density)} = kg: they {off}, not off 'kg in'. Flush pot EMPTIED right "
        f"after the last bleeding{by_now}: {FLUSH_VALVE} and its line to the pump SHUT, vacuum let go slowly; lid on, "
        "then its line to the pump opened SLOWLY",
        blank="l",
    )


def checks(plan: PlanDocument) -> list[Check]:
    """The rows of all groups."""
    return [row for group in check_groups(plan) for row in group.rows]


def _bag(plan: PlanDocument) -> list[Check]:
    at = plan.conditions
    return [
        Check(
            what="Vacuum under the bag",
            planned=f"{number(at.vacuum_mbar_abs)} mbar abs or lower, but not below what the resin's data sheet allows "
            f"(styrene boils). {_on_a_gauge(at.vacuum_mbar_abs, at)} or more",
            blank="mbar abs",
        ),
        Check(
            what="Drop test: valve to the pump SHUT, then pump off",
            planned=_drop_limit(at, plan.leak),
            blank="mbar in … min",
        ),
        *_leak(plan.leak, at),
        Check(what="Catch pots empty, lids and seals whole, rated for vacuum", planned=_pots_hold(plan), blank=""),
        Check(
            what="PUMP ON again after the drop test, LEFT ON; FLUSH POT under vacuum",
            planned=f"{number(at.vacuum_mbar_abs)} mbar abs or lower under the bag, BEFORE any initiator",
            blank="mbar abs",
        ),
    ]


def _pots_hold(plan: PlanDocument) -> str:
    """One forgotten clamp may send all of the reserve after what runs into them as planned."""
    vents_kg = plan.resin.drawn_into_vents_kg + plan.resin.reserve_kg
    return f"each holds {to_have(vents_kg)} or more, or a second pot stands before the pump" if vents_kg > 0 else ""


def _vacuum_again(at: Conditions) -> Check:
    """Between the drop test and the first tap a bag may have begun to leak, and a pump may stand."""
    planned = f"{number(at.vacuum_mbar_abs)} mbar abs or lower"
    return Check(what="Second reading of the vacuum, PUMP STILL ON", planned=planned, blank="mbar abs")


def _leak(leak: Leak | None, at: Conditions) -> list[Check]:
    """What a bag that just passes lets in: for the person who decides whether that is good enough."""
    if leak is None:
        return []
    held = leak.pump_holds_mbar_abs
    leaks = f"{printed_leak(leak.leak_mbar_litres_per_s)} mbar l/s"
    pump = "" if held is None else f"; the pump holds {number(round(held, 2))} mbar abs against it at best"
    if leak.least_pump_m3_per_h is not None:
        pump = (
            f". NOT JUDGED whether your pump holds that: it must draw at least {_rounded_up(leak.least_pump_m3_per_h)} "
            "m3/h there"
        )
    return [
        Check(
            what="A bag that just meets that limit",
            planned=f"lets in {leaks}: {leak.air_let_in_litres:.1f} litres over the shot, "
            f"measured at {number(at.vacuum_mbar_abs)} mbar abs{pump}",
            blank="",
        )
    ]


def _rounded_up(m3_per_h: float) -> str:
    return number(math.ceil(10 * m3_per_h - 1e-6) / 10 if m3_per_h < _WHOLE_M3_PER_H else math.ceil(m3_per_h - 1e-6))


def _drop_limit(at: Conditions, leak: Leak | None) -> str:
    if at.drop_test_most_mbar is None:
        return "the yard's own limit: ……… mbar in ……… min"
    most = f"at most {number(at.drop_test_most_mbar)} mbar"
    over = "……… min" if at.drop_test_min is None else f"{number(at.drop_test_min)} min"
    told = ". How much air that lets in is NOT KNOWN: the bag's air volume was not entered"
    unknown = "" if leak is not None else told
    return f"{most} in {over} (the shop's own limit){unknown}"


def _climate(at: Conditions) -> list[Check]:
    dew_point_c = math.ceil(round(10 * at.dew_point_c, 6)) / 10
    gap = at.mould_temperature_c - dew_point_c
    dew = f"dew point {number(dew_point_c)} °C at {number(at.humidity_percent)} % humidity"
    side = "above" if gap > 0 else "at or below"
    wet = " STOP: AS PLANNED THE MOULD IS NOT ABOVE THE DEW POINT." if gap <= 0 else ""
    near = f" At least {LEAST_ABOVE_DEW_C} °C above it, else CALL."
    return [
        Check(
            what="Mould temperature, coldest and warmest place",
            planned=f"{number(at.mould_temperature_c)} °C{_ALLOWED}",
            blank="°C / °C",
        ),
        Check(
            what="Mould warmer than the dew point",
            planned=f"{dew}; mould {number(round(abs(gap), 1))} °C {side} it.{near}{wet}",
            blank="°C dew point",
        ),
    ]


def _resin(plan: PlanDocument) -> list[Check]:
    at = plan.conditions
    return [
        Check(what="Resin and batch on every drum", planned=f"{at.resin}, batch {at.batch}", blank=""),
        Check(what="Resin temperature", planned=f"{number(at.resin_temperature_c)} °C{_ALLOWED}", blank="°C"),
        Check(
            what="Resin on hand",
            planned=f"{to_have(plan.resin.total_kg)} or more, as bought, before the initiator{_drums(plan.resin)}"
            f"{_and_not_counted(plan)}",
            blank="kg",
        ),
        Check(what="Initiator level, as per the data sheet of this batch", planned=_level(at), blank="%"),
        Check(
            what="Initiator on hand",
            planned=f"{initiator_in_all(plan)} for the whole shot, or more{_initiator_of_a_machine(plan)}",
            blank="g",
        ),
        Check(
            what="Gel cup of this batch, mixed to this level",
            planned=f"cup at ____ °C gelled ____ min after initiator in; planned {_gel_min(plan)} min at the warmer of "
            "mould and resin. Sooner: CALL",
            blank="min",
        ),
    ]


def _and_not_counted(plan: PlanDocument) -> str:
    """Resin that a machine wants and the part never gets, how much is its maker's to say; and what fills a supply hose
    that is in no figure of the plan."""
    hose = " supply hose ____ kg" if without_supply_hose(plan) else ""
    if supply_is(plan) is not SupplyIs.MACHINE:
        return f", PLUS what fills the{hose}" if hose else ""
    hose = f"{hose}," if hose else ""
    return (
        f", PLUS what the part never gets:{hose} ratio sample ____ kg, filling into the flush pot ____ kg, what the "
        "machine cannot draw from the drum ____ kg"
    )


def _initiator_of_a_machine(plan: PlanDocument) -> str:
    """What goes with the resin that the part never gets, and what its pump leaves in the tank."""
    if supply_is(plan) is not SupplyIs.MACHINE:
        return ""
    grams = number(10 * plan.resin.initiator_percent)
    return f", PLUS {grams} g for each kg of that, PLUS what the initiator pump cannot draw ____ g"


def _gel_min(plan: PlanDocument) -> int:
    return math.floor(round(min_from_s(plan.gel_time_s), 3))


def _age(plan: PlanDocument) -> list[Check]:
    """Counted with where the case follows the resin's age; else held against the latest first tap."""
    clock, course = plan.gel_clock, temperatures_words(plan)
    if clock is None:
        planned = "not past the LATEST FIRST TAP of page one"
        return [Check(what="From initiator in to the first tap", planned=planned, blank="min")]
    at_most = math.floor(min_from_s(clock.age_at_first_tap_s))
    said = " ".join(gel_clock_lines(plan))
    later = may_be_later(plan)
    most = f"{at_most} min as counted, not past the LATEST FIRST TAP" if later else f"at most {at_most} min"
    rows = [Check(what="From initiator in to the first tap", planned=f"{most}. {said}".strip(), blank="min")]
    if course is not None:
        planned = f"{course}. Off it: CALL."
        rows.append(Check(what="Mould / resin over the shot, read on", planned=planned, blank="°C / °C"))
    return rows


def _drums(resin: ResinQuantities) -> str:
    return "" if resin.drums is None else f"; {resin.drums} full drum{'s' if resin.drums > 1 else ''}"


def _level(at: Conditions) -> str:
    low, high = at.initiator_range_percent
    inside = low <= at.initiator_percent <= high
    of_resin = f"{number(at.initiator_percent)} % of the mass of the resin"
    level = f"{of_resin}; maker's range as entered {number(low)} to {number(high)} %"
    return level if inside else f"{level}. STOP: OUTSIDE THE RANGE."


def _taps(plan: PlanDocument) -> list[Check]:
    taps = taps_of(plan)
    lines = [shown_label(tap.label, tap.kind) for tap in taps if tap.kind == "line"]
    vents = [shown_label(tap.label, tap.kind) for tap in taps if tap.kind == "vent"]
    return [
        Check(what=f"EVERY TAP SHUT ({len(lines)})", planned=" · ".join(lines), blank=""),
        Check(what=f"EVERY VENT OPEN ({len(vents)})", planned=" · ".join(vents), blank=""),
        *_flush_valve(plan),
        Check(
            what="Labels on hose end and manifold are the same as on this sheet",
            planned=f"all carry sheet {sheet_mark(plan)}",
            blank="",
        ),
    ]


def _flush_valve(plan: PlanDocument) -> list[Check]:
    """Every manifold has one: with all taps shut it is a dead end, and resin does not drive out its air. Its pot is
    marked where something is bled by it."""
    valve = Check(
        what=f"{FLUSH_VALVE} SHUT, its name on it",
        planned=f"{AT_THE_FAR_END}, to the flush pot: empty, lid whole, on the pump, rated for vacuum and heat",
        blank="",
    )
    if not is_bled(plan):
        return [valve]
    bled = bled_once_for(plan)
    litres = max(share[0].bled_before_litres or 0.0 for share in bled)
    marked = Check(
        what="Flush pot MARKED with water, OFF the line, the day before, then DRY",
        planned=f"{len(bled) + 2} marks, one every {litres:.1f} l: filling, {len(bled)} x bleeding, one spare; holds "
        "more. NO water through the valve. Take the seconds with RESIN at the first mark; the mark rules",
        blank="who works it (no tap)",
    )
    return [valve, marked]


def _machine(plan: PlanDocument) -> list[Check]:
    """Nothing where no machine feeds."""
    at = plan.conditions
    if supply_is(plan) is not SupplyIs.MACHINE or at.flow_cap_kg_per_min is None:
        return []
    cap = at.pressure_cap_mbar_abs
    return [
        Check(what="SET ONCE: flow cap", planned=f"{number(at.flow_cap_kg_per_min)} kg/min", blank="kg/min"),
        Check(what="Pressure cap, SET ONCE, but only after ratio and hose", planned=_cap(cap, at), blank="on the dial"),
        Check(what="Supply hose NOT yet joined: the ratio is weighed first", planned="", blank=""),
    ]


def _empty_container(plan: PlanDocument) -> list[Check]:
    """Where mixes are poured in by kilograms one reading of the scale holds, whatever ran where."""
    if not any(mix.pour_by_drawn_kg for mix in plan.mixes) or not left_kg(plan):
        return []
    return [
        Check(
            what="EMPTY container on the scale: WRITE what it reads, do not press tare",
            planned=f"this + {number(left_kg(plan))} kg = LOW ____ kg. The next mix is in BEFORE the scale reads LOW",
            blank="kg",
        )
    ]


def _cap(cap_mbar_abs: float, at: Conditions) -> str:
    """Most dials read nought in air: the same figure set on one would be a whole bar more, and lift the bag."""
    cap, below = number(cap_mbar_abs), _below(cap_mbar_abs, at)
    return (
        f"{cap} mbar abs at the outlet of the machine. On a dial that reads 0 in air this is MINUS ____ mbar: air "
        f"today ____ less {cap} (in the plan {below} at {number(at.ambient_mbar_abs)}). NEVER set {cap} on "
        "such a dial, NEVER above ambient. Cannot be set below zero: do not start, CALL"
    )


def _supply(plan: PlanDocument) -> list[Check]:
    """What can only be looked at once there is mixed resin."""
    if supply_is(plan) is SupplyIs.MACHINE:
        return []
    by_scale = any(step.trigger.backup for step in plan.steps) or any(mix.begin_at_drawn_kg for mix in plan.mixes)
    since = "; kg in = kg drawn less all bled into the flush pot since"
    drawn, less = ("kg drawn", since) if is_bled(plan) else ("kg in", "")
    scale = Check(
        what="Container on a scale: WRITE what it reads at zero, do not press tare",
        planned=f"{drawn} = this reading + all that is poured in after − what it reads then{less}",
        blank="kg",
    )
    return [
        Check(what="Hose ends under mixed resin, hoses without a kink", planned=plan.conditions.supply, blank=""),
        *([scale] if by_scale else []),
    ]


def _on_a_gauge(mbar_abs: float, at: Conditions) -> str:
    """Counted from the air of the day, which is not that of the plan."""
    return (
        f"Gauge below ambient: air today ____ less {number(mbar_abs)} = ____ mbar (in the plan {_below(mbar_abs, at)} "
        f"at {number(at.ambient_mbar_abs)})"
    )


def _below(mbar_abs: float, at: Conditions) -> str:
    return number(math.ceil(round(10 * (at.ambient_mbar_abs - mbar_abs), 6)) / 10)


@dataclass(frozen=True, kw_only=True)
class Quantity:
    """Resin for one use."""

    use: str
    amount: str


def quantities(plan: PlanDocument) -> list[Quantity]:
    """Resin by use, as bought and before the initiator, without the total."""
    resin = plan.resin
    uses = {
        "Laminate": resin.laminate_kg,
        "Core": resin.core_kg,
        "Flow mesh": resin.flow_mesh_kg,
        "Feed lines": resin.feed_lines_kg,
        "Hoses and manifold": resin.hoses_and_manifold_kg,
        **({"Race tracks": resin.race_tracks_kg} if resin.race_tracks_kg else {}),
        **({"Taken up as the bag gives": resin.swollen_kg} if resin.swollen_kg else {}),
        "Drawn into vents": resin.drawn_into_vents_kg,
        **({"Let into the flush pot": resin.bled_kg} if resin.bled_kg else {}),
        "Reserve": resin.reserve_kg,
    }
    counted = [Quantity(use=use, amount=f"{mass_kg:.1f} kg") for use, mass_kg in uses.items()]
    if without_supply_hose(plan):
        counted.append(Quantity(use=f"{SUPPLY_HOSE}, ____ m, bore ____ mm", amount="NOT COUNTED"))
    if supply_is(plan) is SupplyIs.MACHINE:
        counted.append(Quantity(use="Ratio sample, filling into the flush pot, left in the drum", amount="NOT COUNTED"))
    return counted
