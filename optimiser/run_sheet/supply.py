"""Which kind of supply a plan is for: several sentences of the sheet depend on it."""

from __future__ import annotations

from enum import StrEnum

from optimiser.case.plan_document import PlanDocument
from optimiser.case.pointer import pointer

SUPPLY_HOSE = "Supply hose before the manifold"
LEFT_SHARE = 0.1
"""Of a mix, left in the container when the next is poured in, as in the plan. Common practice, no source."""


class SupplyIs(StrEnum):
    MACHINE = "machine"
    MIXES = "mixes"
    CONTAINER = "container"


def supply_is(plan: PlanDocument) -> SupplyIs:
    """Only a metering machine has a flow cap; only mixes are counted."""
    if plan.resin.mixes is not None:
        return SupplyIs.MIXES
    return SupplyIs.CONTAINER if plan.conditions.flow_cap_kg_per_min is None else SupplyIs.MACHINE


def is_bled(plan: PlanDocument) -> bool:
    """Whether resin leaves the container for the flush pot: 'kg drawn' is then more than 'kg in'."""
    return any(step.bled_before_litres is not None for step in plan.steps)


def how_to_read_kg(plan: PlanDocument) -> str:
    """At the steps, where kilograms stand in for sight; empty: a machine counts them."""
    if supply_is(plan) is SupplyIs.MACHINE:
        return ""
    drawn = "scale at zero + poured in since − scale now"
    return f"kg drawn = {drawn}; kg in = kg drawn − bled" if is_bled(plan) else f"kg in = {drawn}"


def left_kg(plan: PlanDocument) -> float:
    """What the container is never drawn below; 0: the case does not say what a mix is."""
    return LEFT_SHARE * (plan.conditions.mix_kg or 0.0)


def without_supply_hose(plan: PlanDocument) -> bool:
    """Whether the case states none, so that neither its resin nor what it loses is counted."""
    return any(one.path == pointer("supply", "supply_hose") for one in plan.assumptions)


def supply_hose_warning(plan: PlanDocument) -> list[str]:
    """Most shots have one: it takes resin to fill, and holds the flow up."""
    if not without_supply_hose(plan):
        return []
    return ["NO supply hose is counted: it takes resin, slows the shot. Sign for it first."]
