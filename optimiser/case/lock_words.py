"""Where air is locked, in words."""

from __future__ import annotations

from optimiser.case.tool_side import UNDER_MESH
from optimiser.filling.fill_run import Lock


def place_of_lock(lock: Lock) -> str:
    """The middle of what is locked."""
    return f"x {lock.x_m:.2f} m, y {lock.y_m:.2f} m" + (f", {UNDER_MESH}" if lock.under_mesh else "")
