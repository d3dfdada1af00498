"""What a run came to beside the run without the mistake: how bad it is, in one order for all who rank."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import IntEnum

import numpy as np

from optimiser.filling.fill_run import FillRun
from optimiser.network.flow_network import FlowNetwork


class Severity(IntEnum):
    NOTHING_FLOWS = 0
    """No tap of the start is open: it is seen at once."""
    TIME = 1
    """Nothing is lost but time, or not even that."""
    TOO_LATE = 2
    """All wet, after the gel limit."""
    FAILS = 3
    """A region is locked, or stays dry."""


@dataclass(frozen=True, kw_only=True)
class Harm:
    severity: Severity
    locked_m3: float
    dry_m2: float
    """Not wet at the end of the run."""
    later_s: float
    """Wet-out against that of the run without the mistake; infinity: never all wet."""
    vents_draw_more_m3: float

    @property
    def rank(self) -> tuple[int, float, float, float]:
        """Greater is worse. Rounded, so that the noise of two mirrored places decides nothing."""
        return (
            self.severity,
            round(self.locked_m3 * 1e3, 1),
            round(self.dry_m2, 2),
            self.later_s if math.isinf(self.later_s) else round(self.later_s / 30.0),
        )


def harm_of(network: FlowNetwork, run: FillRun, base: FillRun, *, time_left_s: float) -> Harm:
    """time_left_s: from wet-out of the plan to the gel limit."""
    dry = ~np.isfinite(network.latest(run.arrival_s))
    later = run.wet_out_s - base.wet_out_s
    return Harm(
        severity=_severity(run, later, time_left_s),
        locked_m3=run.locked_pore_m3,
        dry_m2=float(network.area_m2[: len(dry)][dry].sum()),
        later_s=later,
        vents_draw_more_m3=float(run.vent_drawn_m3.sum() - base.vent_drawn_m3.sum()),
    )


def _severity(run: FillRun, later_s: float, time_left_s: float) -> Severity:
    if float(run.history.injected_m3[-1]) == 0:
        return Severity.NOTHING_FLOWS
    if not run.clean:
        return Severity.FAILS
    return Severity.TOO_LATE if later_s > time_left_s else Severity.TIME
