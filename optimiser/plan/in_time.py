"""Whether a sequence is in time on finer cells too, where it was played there."""

from __future__ import annotations

import math

from optimiser.plan.gel_judgement import judge_gel
from optimiser.plan.result import Verified
from optimiser.plan.scenes import Scenes


def margin_on_finer_s(scenes: Scenes, one: Verified) -> float:
    """Before the gel limit; infinity where it was not played."""
    if one.finer_run is None or scenes.finer is None:
        return math.inf
    return judge_gel(scenes.shot, scenes.resin_clock, scenes.finer.network, one.finer_run).margin_s
