"""Which kind of supply a plan is for: several sentences of the sheet depend on it."""

from __future__ import annotations

from enum import StrEnum

from optimiser.case.plan_document import PlanDocument


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
