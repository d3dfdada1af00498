"""What a vent that is clamped late, or never, draws after wet-out, until resin or gel ends it."""

from __future__ import annotations

from dataclasses import dataclass

from optimiser.filling.fill_run import FillRun
from optimiser.physics.closed_form import constant_flow_fill_time_s, constant_flow_volume_m3


@dataclass(frozen=True, kw_only=True)
class DrawsOn:
    flow_m3_s: float
    drawn_m3: float
    """From wet-out until the vent is clamped, the supply is empty, or gel."""
    runs_out_s: float | None
    """When what is bought is used up, where that ends it."""


def draws_on(run: FillRun, *, resin_m3: float, gel_s: float) -> DrawsOn | None:
    """None: nothing does, or the resin was used up before wet-out.

    resin_m3: all that is bought for the shot. gel_s: from the first tap, less the age of the resin then. Taken as
    steady, so as much as it can be where resin thickens meanwhile.
    """
    if run.runs_on is None or run.runs_on.flow_m3_s <= 0:
        return None
    flow_m3_s = run.runs_on.flow_m3_s
    left_m3 = resin_m3 - float(run.history.injected_m3[-1])
    if left_m3 <= 0:
        return None
    empty_s = run.end_s + constant_flow_fill_time_s(pore_volume_m3=left_m3, flow_m3_s=flow_m3_s)
    others_s = min(run.runs_on.until_s, gel_s)
    within_s = max(0.0, min(empty_s, others_s) - run.end_s)
    return DrawsOn(
        flow_m3_s=flow_m3_s,
        drawn_m3=constant_flow_volume_m3(flow_m3_s=flow_m3_s, within_s=within_s),
        runs_out_s=empty_s if empty_s <= others_s else None,
    )
