"""Where air is locked, in words."""

from __future__ import annotations

from optimiser.case.tool_side import ON_TOOL_SIDE
from optimiser.filling.fill_run import Lock
from optimiser.plan.result import PlanResult


def place_of_lock(lock: Lock) -> str:
    """The middle of what is locked."""
    return f"x {lock.x_m:.2f} m, y {lock.y_m:.2f} m" + (f", {ON_TOOL_SIDE}" if lock.on_tool_side else "")


def near_lock(result: PlanResult, lock: Lock) -> str:
    """The same of a lock on the full network, with the zone that most of it lies in before it."""
    cells = result.scenes.full.cells_of(lock.nodes)
    place = place_of_lock(lock)
    return f"zone {result.zones.names[result.zones.of_most(cells)]}, {place}" if len(cells) else place
