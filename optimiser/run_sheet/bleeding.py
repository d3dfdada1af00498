"""What stands in hose and manifold is let into a flush pot before a tap: when, through which valve, and what comes off.

Begun about two minutes before the trigger, by what is drawn until then in the plan: fast day or slow, the resin then
stands where it stood there. After the trigger it would keep the front waiting for minutes that no plan counts; sooner,
what it lets in would grow old again in the dead end of the manifold, and the plan counts what comes out of the next tap
as fresh. Steps due within those two minutes share one bleeding, unless the gel clock has less in hand. The two minutes
and the care are common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from optimiser.case.plan_document import PlanDocument, PlannedStep
from optimiser.case.trigger_words import span
from optimiser.run_sheet.supply import SupplyIs, left_kg, supply_is
from optimiser.run_sheet.wording import is_short, kilograms, listed, minutes

FLUSH_VALVE = "FLUSH VALVE"
"""A name of our own for the valve between manifold and flush pot; the sheet's one word for it."""
AT_THE_FAR_END = "at the far end of the manifold, beyond the last tap"
_AHEAD_S = 120.0
"""Our choice: time to let it in, and what steps may lie apart that share it."""


@dataclass(frozen=True, kw_only=True)
class Bleeding:
    """One opening of the flush valve."""

    do: str
    notes: str


def bled_once_for(plan: PlanDocument) -> list[tuple[PlannedStep, ...]]:
    """The steps before which it is bled, those together that share one bleeding."""
    groups: list[tuple[PlannedStep, ...]] = []
    for step in sorted(plan.steps, key=lambda one: one.order):
        if step.bled_before_litres is None:
            continue
        if groups and _together(plan, groups[-1][0], step):
            groups[-1] = (*groups[-1], step)
        else:
            groups.append((step,))
    return groups


def _together(plan: PlanDocument, first: PlannedStep, step: PlannedStep) -> bool:
    """The later of them gets resin that is older than counted, by as much as they are apart."""
    if first.expected_at_s is None or step.expected_at_s is None:
        return False
    margin_s = math.inf if plan.gel_clock is None else plan.gel_clock.least_margin_s or 0.0
    return step.expected_at_s - first.expected_at_s <= min(_AHEAD_S, margin_s)


def bled_kg(plan: PlanDocument, order: int) -> float:
    """In the flush pot when that step is done."""
    litres = sum(share[0].bled_before_litres or 0.0 for share in bled_once_for(plan) if share[0].order <= order)
    return litres * plan.conditions.resin_density_kg_per_m3 * 1e-3


def drawn_with_bled_kg(plan: PlanDocument) -> list[float]:
    """Beside the times of the plan's consumption: what scale or counter read."""
    bled = [(share[0].expected_at_s, bled_kg(plan, share[0].order)) for share in bled_once_for(plan)]
    return [
        in_kg + max((kg for from_s, kg in bled if from_s is not None and from_s <= at_s), default=0.0)
        for at_s, in_kg in zip(plan.consumption.time_s, plan.consumption.drawn_kg, strict=True)
    ]


def shared_kg(plan: PlanDocument, by_s: float) -> float:
    """Bled by then by the plan, which counts a bleeding for every tap, and not by a crew that bleeds once for several.
    """
    litres = sum(
        step.bled_before_litres or 0.0
        for share in bled_once_for(plan)
        for step in share[1:]
        if step.expected_at_s is not None and step.expected_at_s <= by_s
    )
    return litres * plan.conditions.resin_density_kg_per_m3 * 1e-3


def bleedings(plan: PlanDocument) -> dict[int, Bleeding]:
    """By the number of the step before which each is done."""
    return {share[0].order: _bleeding(plan, share) for share in bled_once_for(plan)}


def _bleeding(plan: PlanDocument, share: tuple[PlannedStep, ...]) -> Bleeding:
    step, orders = share[0], [str(one.order) for one in share]
    if len(share) == 1:
        what = f"BLEED for step {step.order} BEFORE its trigger comes"
    else:
        what = f"BLEED ONCE for steps {listed(orders)}, due together, BEFORE the trigger of step {step.order} comes"
    return Bleeding(
        do=f"{what}: begin {_cue(plan, step)}. {_container_first(plan, share)}{FLUSH_VALVE} ({AT_THE_FAR_END}) open A "
        f"LITTLE until the FLUSH POT has risen by ONE MARK, {step.bled_before_litres:.1f} l (the mark rules; "
        "____ s at filling), valve SHUT again.",
        notes="Not sooner: what stands there grows old. Bleeding takes time that is NOT in the expected minute: if the "
        "trigger is there meanwhile or already, finish the bleeding, then open. Only a little, so that open taps go on "
        f"drawing. The pot is under vacuum; NEVER INTO AN OPEN BUCKET: it draws air in. {_taken_off(plan, step)}",
    )


def _cue(plan: PlanDocument, step: PlannedStep) -> str:
    """Kilograms, by the clock a time, and else something to see."""
    after = f"when step {step.order - 1} is done"
    at_s = step.trigger.at_s
    if step.trigger.kind == "clock" and at_s is not None:
        return after if at_s <= _AHEAD_S else f"{span(_AHEAD_S)} before its time, and {after}"
    if step.expected_at_s is None or not plan.consumption.time_s:
        return f"{after} and resin is a finger's width short of what it names"
    begin_s = _begin_s(plan, step)
    if begin_s is None:
        return f"at once {after}"
    kg = f"{_begin_kg(plan, step):.1f}"
    at_min = minutes(begin_s, short=is_short(plan.wet_out_s), rounded=math.floor)
    return f"at {kg} kg {_reads(plan)} (about min {at_min}), step {step.order - 1} done"


def _begin_s(plan: PlanDocument, step: PlannedStep) -> float | None:
    """None: as soon as the step before is done."""
    before = next((one for one in plan.steps if one.order == step.order - 1), None)
    begin_s = (step.expected_at_s or 0.0) - plan.conditions.seconds_per_action - _AHEAD_S
    early = begin_s <= 0.0 or (before is not None and begin_s <= (before.expected_at_s or 0.0))
    return None if early else begin_s


def _begin_kg(plan: PlanDocument, step: PlannedStep) -> float:
    """Drawn since the first tap when its bleeding begins, in tenths, rounded down."""
    before = next((one for one in plan.steps if one.order == step.order - 1), None)
    begin_s = _begin_s(plan, step)
    if begin_s is None:
        begin_s = 0.0 if before is None else before.expected_at_s or 0.0
    in_kg = float(np.interp(begin_s, plan.consumption.time_s, plan.consumption.drawn_kg))
    return math.floor(10 * (in_kg + bled_kg(plan, step.order - 1)) + 1e-6) / 10


def poured_before_bleeding_kg(plan: PlanDocument, pour_by_kg: float) -> float:
    """A mix that falls due while it is bled is in before: no valve is opened over a container that runs empty."""
    if not plan.consumption.time_s:
        return pour_by_kg
    for share in bled_once_for(plan):
        begin_kg, end_kg = _from_to_kg(plan, share)
        if begin_kg < pour_by_kg <= end_kg:
            return begin_kg
    return pour_by_kg


def _from_to_kg(plan: PlanDocument, share: tuple[PlannedStep, ...]) -> tuple[float, float]:
    """Drawn when a bleeding begins, and when its step is done."""
    step = share[0]
    in_kg = float(np.interp(step.expected_at_s or 0.0, plan.consumption.time_s, plan.consumption.drawn_kg))
    return _begin_kg(plan, step), in_kg + bled_kg(plan, step.order)


def _container_first(plan: PlanDocument, share: tuple[PlannedStep, ...]) -> str:
    """What must stand in the container before the valve is touched: all that leaves it until the step, and the rest."""
    if supply_is(plan) is SupplyIs.MACHINE or share[0].expected_at_s is None or not plan.consumption.time_s:
        return ""
    begin_kg, end_kg = _from_to_kg(plan, share)
    least = f"{math.ceil(round(10 * (end_kg - begin_kg + left_kg(plan)), 4)) / 10:.1f}"
    due = [one.number for one in plan.mixes if one.pour_by_drawn_kg is not None and one.pour_by_drawn_kg <= end_kg]
    mix = f"MIX {max(due)} IN, " if due else ""
    return f"{mix}AT LEAST {least} kg IN THE CONTAINER before the valve is touched. "


def _reads(plan: PlanDocument) -> str:
    return "on the counter" if supply_is(plan) is SupplyIs.MACHINE else "drawn"


def _taken_off(plan: PlanDocument, step: PlannedStep) -> str:
    """'kg in' is what goes into the part; the scale or counter of the supply reads what is in the flush pot too.

    While a tap draws, the manifold stands below the air: only what is under the same vacuum takes resin from it.
    """
    reads = "counter" if supply_is(plan) is SupplyIs.MACHINE else "kg drawn"
    return f"From then on 'kg in' = {reads} less {kilograms(bled_kg(plan, step.order))} (bled since zero)."
