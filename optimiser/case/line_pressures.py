"""What a line's ends get of the pressure at the manifold, over time."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from optimiser.case.amounts_document import LinePressure
from optimiser.filling.fill_run import FillRun
from optimiser.filling.tap_play import reached_at
from optimiser.network.flow_network import FloatArray, FlowNetwork
from optimiser.part.shot import Shot
from optimiser.physics.darcy import head_pa
from optimiser.units import mbar_from_pa

_ROWS = 13
"""A dozen stretches: enough to see a line fall off."""


def line_pressure(shot: Shot, run: FillRun, index: int, opened_at_s: float | None) -> LinePressure | None:
    """From its opening to the end of the run; None: not opened."""
    if opened_at_s is None:
        return None
    time_s, pressure_pa = run.history.time_s, run.history.line_pressure_pa[:, index]
    since = np.flatnonzero(time_s > opened_at_s)
    if len(since) == 0:
        return None
    evenly_s = np.linspace(time_s[since[0]], time_s[since[-1]], _ROWS)
    rows = np.unique(np.searchsorted(time_s, evenly_s))
    absolute = mbar_from_pa(1.0) * (np.maximum(pressure_pa[rows], 0.0) + shot.process.vacuum_pa)
    return LinePressure(
        time_s=[float(one) for one in np.round(time_s[rows], 1)],
        inlet_mbar_abs=[float(one) for one in np.round(absolute[:, 0], 1)],
        far_end_mbar_abs=[float(one) for one in np.round(absolute[:, 1:].min(axis=1), 1)],
    )


def far_end_share(shot: Shot, network: FlowNetwork, run: FillRun, index: int) -> float | None:
    """Pressure at the end that gets less over that at the inlet, while the line was full and its tap drew.

    Means over time, at the height of the inlet: what a line loses by its bore, not by its slope. None: never so.
    """
    history = run.history
    full_s = reached_at(network, network.lines[index].label, 1.0, run.arrival_s)
    took_s = np.diff(history.time_s)
    drew = (np.diff(history.line_drawn_m3[:, index]) > 0) & (history.time_s[:-1] >= full_s)
    driving = _at_inlet_height(shot, network, index, history.line_pressure_pa[1:, index])[drew]
    inlet, *ends = took_s[drew] @ driving if drew.any() else (0.0,)
    return float(np.clip(min(ends) / inlet, 0.0, 1.0)) if inlet > 0 else None


def starved_lines(shot: Shot, network: FlowNetwork, run: FillRun) -> Iterator[str]:
    """Lines whose far end got less in the run than the case asks for."""
    least = shot.process.least_line_end_fraction
    for index, line in enumerate(network.lines):
        share = far_end_share(shot, network, run, index)
        if share is not None and share < least:
            yield (
                f"the far end of line {line.label} gets {_below(share, least)} of the pressure at its inlet in the "
                f"run, less than the {100 * least:g}% asked for; take a larger bore, a second hose, or feed it in the "
                "middle"
            )


def _below(share: float, least: float) -> str:
    """In percent, with a decimal where it would read as the least itself."""
    whole = round(100 * share)
    return f"{whole}%" if whole < 100 * least else f"{math.floor(1000 * share) / 10:g}%"


def _at_inlet_height(shot: Shot, network: FlowNetwork, index: int, pressure_pa: FloatArray) -> FloatArray:
    heights: FloatArray = network.height_m[network.line_gauges[index]]
    rise_m: FloatArray = np.asarray(heights - heights[0])
    return pressure_pa + head_pa(density_kg_m3=shot.resin.density_kg_m3, rise_m=rise_m)
