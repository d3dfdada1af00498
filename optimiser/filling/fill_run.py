"""What a fill of the network found."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optimiser.filling.tap_play import DueStep
from optimiser.network.flow_network import FloatArray, IntArray
from optimiser.part.sequence import Action


@dataclass(frozen=True, kw_only=True)
class Lock:
    """A region that lost its last vent while it was still unfilled."""

    at_s: float
    nodes: IntArray
    area_m2: float
    pore_m3: float
    x_m: float
    y_m: float
    closed_by: tuple[str, ...]
    """Lines whose resin stands round it."""
    fails: bool
    """Not below the smallest area that matters."""
    on_tool_side: bool = False
    """All of it lies on the tool side, beneath resin on the bag side."""
    pressed_by_pa: float = 0.0
    """At the end of the run, above the residual vacuum: of its air where that presses back, its volume as one; of the
    resin round it where it does not."""


@dataclass(frozen=True, kw_only=True)
class History:
    """Columns over the steps of the run."""

    time_s: FloatArray
    injected_m3: FloatArray
    flow_m3_s: FloatArray
    """Mean over the step that ends here."""
    manifold_pressure_pa: FloatArray
    """Above the residual vacuum, mean over the step."""
    wet_share: FloatArray
    """Filled share of the sheet's pore volume."""
    line_drawn_m3: FloatArray
    """(steps, lines), through each tap."""
    line_pressure_pa: FloatArray
    """(steps, lines, 3): above the residual vacuum, mean over the step, where the hose joins and at the two ends."""
    vent_pressure_pa: FloatArray
    """(steps, vents): the same at the far end of each vent that is a pipe, zero at others."""


@dataclass(frozen=True, kw_only=True)
class RunsOn:
    """What goes on after wet-out through vents that are not clamped yet."""

    flow_m3_s: float
    """Through the manifold, steady: all is wet and the bag is rigid. Resin that thickens lets less through later."""
    until_s: float
    """When the last of these vents is called to be clamped; infinity: never."""


@dataclass(frozen=True, kw_only=True)
class FillRun:
    arrival_s: FloatArray
    """When each node was full; infinity: never."""
    first_touch_s: FloatArray
    """When resin first entered each node."""
    entered_s: FloatArray
    """When the oldest resin that can have wetted each node came through the manifold; infinity: never wet."""
    source: IntArray
    """Index of the line whose resin came first; -1: none."""
    wet_out_s: float
    """When the last cell was full, to the tool side, but for what locked regions keep dry; infinity: not all of it
    ever."""
    locks: tuple[Lock, ...]
    steps: tuple[DueStep, ...]
    """Done steps, in order of time."""
    history: History
    vent_drawn_m3: FloatArray
    """Out of the part into each vent, its line and hose included."""
    vent_held_m3: FloatArray
    """Of it what line and hose hold at the end, where the vent is a pipe; what others hold is not followed."""
    end_saturation: FloatArray | None
    """Where the bag gives: what each node holds at the end over its dry pores; above 1 where it has grown."""
    end_s: float
    stalled: bool
    """The front came to rest: no head or no open tap is left to drive it."""
    capped: bool
    """The flow cap bound at some time."""
    front_steps: int
    solves: int
    runs_on: RunsOn | None = None
    """None: nothing does, not all is wet, or the bag gives, under which flow is not steady."""

    @property
    def locked_pore_m3(self) -> float:
        return sum(lock.pore_m3 for lock in self.locks if lock.fails)

    @property
    def clean(self) -> bool:
        """All wet and nothing locked that matters."""
        return bool(np.isfinite(self.wet_out_s)) and not any(lock.fails for lock in self.locks)


def opening_times_s(run: FillRun) -> dict[str, float]:
    """When each line was opened; the last time, if more than once."""
    return {one.step.label: one.done_s for one in run.steps if one.step.action is Action.OPEN}
