"""What each vent drew, where it went, and what its line takes of the vacuum."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from optimiser.case.amounts_document import VentResult
from optimiser.filling.fill_run import FillRun
from optimiser.part.part import Vent
from optimiser.part.shot import Shot
from optimiser.physics.pipe_flow import tube_volume_m3
from optimiser.physics.vacuum import air_pressure_fall_pa
from optimiser.units import litres_from_m3, mbar_from_pa


def vent_results(shot: Shot, run: FillRun) -> list[VentResult]:
    fastest_m3_s = float(run.history.flow_m3_s.max())
    return [
        _vent(shot, vent, float(drawn_m3), fastest_m3_s)
        for vent, drawn_m3 in zip(shot.part.vents, run.vent_drawn_m3, strict=True)
    ]


def full_pots(vents: list[VentResult]) -> Iterator[str]:
    for vent in vents:
        if vent.in_catch_pot_litres > vent.catch_pot_litres:
            yield (
                f"vent {vent.label} draws {vent.in_catch_pot_litres:.1f} litres into a catch pot of "
                f"{vent.catch_pot_litres:g}: resin would run into the pump; clamp it sooner or take a larger pot"
            )


def _vent(shot: Shot, vent: Vent, drawn_m3: float, fastest_m3_s: float) -> VentResult:
    length_m = vent.hose_length_m + sum(math.dist(a, b) for a, b in pairwise(vent.run_m))
    held_m3 = tube_volume_m3(bore_m=vent.bore_m, length_m=length_m)
    return VentResult(
        label=vent.label,
        drawn_litres=litres_from_m3(drawn_m3),
        line_and_hose_litres=litres_from_m3(held_m3),
        catch_pot_litres=litres_from_m3(vent.catch_pot_m3),
        in_catch_pot_litres=litres_from_m3(max(0.0, drawn_m3 - held_m3)),
        air_mbar=mbar_from_pa(
            air_pressure_fall_pa(
                bore_m=vent.bore_m, length_m=length_m, flow_m3_s=fastest_m3_s, pressure_pa=shot.process.vacuum_pa
            )
        ),
    )
