"""Whether a sequence is in time on finer cells too, and after a machine has filled hose and manifold."""

from __future__ import annotations

import math

from optimiser.part.shot import Shot
from optimiser.physics.closed_form import constant_flow_fill_time_s
from optimiser.plan.gel_judgement import judge_gel
from optimiser.plan.result import Verified
from optimiser.plan.scenes import Scenes


def margin_on_finer_s(scenes: Scenes, one: Verified) -> float:
    """Before the gel limit; infinity where it was not played."""
    if one.finer_run is None or scenes.finer is None:
        return math.inf
    return judge_gel(scenes.shot, scenes.resin_clock, scenes.finer.network, one.finer_run).margin_s


def manifold_fill_s(shot: Shot) -> float:
    """What a machine takes at its cap to fill hose and manifold before the first tap, with resin whose clock runs."""
    if shot.supply.most_flow_m3_s is None:
        return 0.0
    return constant_flow_fill_time_s(
        pore_volume_m3=shot.supply.manifold_volume_m3, flow_m3_s=shot.supply.most_flow_m3_s
    )


def filled_late_s(shot: Shot) -> float:
    """Of that, what the run does not count with as the age at the first tap: so much sooner all must be wet."""
    return max(0.0, manifold_fill_s(shot) - (shot.process.age_at_first_tap_s or 0.0))
