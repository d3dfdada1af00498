"""Where air is locked, in words."""

from __future__ import annotations

import math

import numpy as np
from scipy.spatial import cKDTree

from optimiser.case.tool_side import ON_TOOL_SIDE
from optimiser.filling.fill_run import Lock
from optimiser.network.bays import drawn_place
from optimiser.network.flow_network import FloatArray, FlowNetwork
from optimiser.network.zones import Zones

_BESIDE_M, _BESIDE_CELLS = 0.1, 2.0
"""From a vent: what a vent laid inside the edge leaves beyond it, or two cells where they are larger."""


def place_of_lock(lock: Lock) -> str:
    """The middle of what is locked."""
    return f"x {lock.x_m:.2f} m, y {lock.y_m:.2f} m" + (f", {ON_TOOL_SIDE}" if lock.on_tool_side else "")


def line_and_vent(network: FlowNetwork, lock: Lock) -> tuple[str, str] | None:
    """The nearest line and vent of a lock where the two are nearer to its middle than any other line; else None.

    Whose resin closed it in does not say in which strip it lies: that may have come round the end of a line.
    """
    cells = network.cells_of(lock.nodes)
    if len(cells) == 0:
        return None
    place = drawn_place(network)
    middle = place[cells].mean(axis=0)
    lines = sorted((_off_m(place[line.nodes], middle), line.label) for line in network.lines)
    vents = sorted((_off_m(place[vent.cells], middle), vent.label) for vent in network.vents if vent.on_line is None)
    if not lines or not vents:
        return None
    vent_between = len(lines) == 1 or vents[0][0] < lines[1][0]
    return (lines[0][1], vents[0][1]) if vent_between else None


def beside_vent(network: FlowNetwork, lock: Lock) -> str | None:
    """The vent that all of a lock lies beside, what its clamp or its place left."""
    cells = network.cells_of(lock.nodes)
    place, within_m = drawn_place(network), max(_BESIDE_M, _BESIDE_CELLS * network.cell_size_m)
    for vent in network.vents if len(cells) else ():
        off_m, _ = cKDTree(place[vent.cells]).query(place[cells])
        if vent.on_line is None and off_m.max() < within_m:
            return vent.label
    return None


def _off_m(places: FloatArray, middle: FloatArray) -> float:
    return float(np.linalg.norm(places - middle, axis=1).min(initial=math.inf))


def near_lock(network: FlowNetwork, zones: Zones, lock: Lock) -> str:
    """The same, with the zone that most of it lies in before it; zones: on that network."""
    cells = network.cells_of(lock.nodes)
    place = place_of_lock(lock)
    return f"zone {zones.names[zones.of_most(cells)]}, {place}" if len(cells) else place
