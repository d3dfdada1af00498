"""What runs through the vents into their catch pots."""

from __future__ import annotations

import math
from itertools import pairwise

from optimiser.filling.fill_run import FillRun
from optimiser.part.part import Part, Vent
from optimiser.physics.pipe_flow import tube_volume_m3


def running_over(part: Part, run: FillRun) -> dict[str, float]:
    """What runs into the pots that do not hold it, in cubic metres, by vent: then resin is in the pump."""
    drawn_m3 = {vent.label: in_pot_m3(vent, run, index) for index, vent in enumerate(part.vents)}
    return {vent.label: drawn_m3[vent.label] for vent in part.vents if drawn_m3[vent.label] > vent.catch_pot_m3}


def in_pot_m3(vent: Vent, run: FillRun, index: int) -> float:
    """index: of the vent in its part. What line and hose hold does not come so far."""
    held_m3 = line_and_hose_m3(vent) if vent.hose_bore_m is None else float(run.vent_held_m3[index])
    return max(0.0, float(run.vent_drawn_m3[index]) - held_m3)


def line_and_hose_m3(vent: Vent) -> float:
    return sum(tube_volume_m3(bore_m=bore_m, length_m=length_m) for bore_m, length_m in tubes_m(vent).items())


def tubes_m(vent: Vent) -> dict[float, float]:
    """Length by bore: the hose, and the line where it has any length."""
    line_m = sum(math.dist(a, b) for a, b in pairwise(vent.run_m))
    hose_bore_m = vent.hose_bore_m or vent.bore_m
    if hose_bore_m == vent.bore_m:
        return {hose_bore_m: vent.hose_length_m + line_m}
    return {hose_bore_m: vent.hose_length_m} | ({vent.bore_m: line_m} if line_m > 0 else {})
