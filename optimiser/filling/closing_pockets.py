"""Regions that lose their last open vent and fill up again within one step, so that its end shows nothing of them."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from optimiser.filling.air_pieces import air_passes, pieces_of, unfilled_areas_m2
from optimiser.filling.front_state import FrontState
from optimiser.filling.ways_out import open_outlets
from optimiser.network.flow_network import BoolArray, FloatArray, FlowNetwork, IntArray

_MOST_SWEEPS = 2000
_SLACK_SHARE = 0.02
"""Arrivals within a step are known to about this share of it."""


def closing_pocket_s(
    network: FlowNetwork,
    before: FrontState,
    after: FrontState,
    arrival_s: FloatArray,
    vent_open: BoolArray,
    known: BoolArray,
    drains_after: Callable[[], BoolArray],
    *,
    smallest_m2: float,
    step_s: float,
) -> float | None:
    """When the first such region closed in this step; None: none of the smallest area that matters.

    A node has a way out until the latest moment at which some path from it to an open vent is dry along its whole
    length: the widest path, by arrivals as widths. Where that ends well before the node itself is wet, air is locked.
    known: nodes of regions that have been seen to be locked; drains_after: those dry with a way out
    after the step.
    """
    fresh = after.wet & ~before.wet & ~known
    if not (fresh & (network.area_m2 > 0)).any():
        return None
    dry = ~after.wet
    drains = drains_after()
    late_s = np.where(dry, np.inf, arrival_s)
    inside = fresh | (dry & ~drains)
    passes = air_passes(network, ~before.wet)
    start, end = network.links.start[passes], network.links.end[passes]
    out_s = np.where(open_outlets(network, vent_open) & fresh, late_s, -np.inf)
    for one, other in ((start, end), (end, start)):
        beside = one[fresh[one] & drains[other]]
        out_s[beside] = late_s[beside]
    within = inside[start] & inside[end]
    out_s = _widest(out_s, late_s, start[within], end[within])
    pocket = fresh & (out_s < late_s - _SLACK_SHARE * step_s) & np.isfinite(out_s)
    return _earliest_that_matters(network, before, pocket, out_s, smallest_m2)


def _widest(out_s: FloatArray, late_s: FloatArray, start: IntArray, end: IntArray) -> FloatArray:
    for _ in range(_MOST_SWEEPS):
        wider = out_s.copy()
        np.maximum.at(wider, start, out_s[end])
        np.maximum.at(wider, end, out_s[start])
        wider = np.minimum(wider, late_s)
        if np.array_equal(wider, out_s):
            break
        out_s = wider
    return out_s


def _earliest_that_matters(
    network: FlowNetwork,
    before: FrontState,
    pocket: BoolArray,
    out_s: FloatArray,
    smallest_m2: float,
) -> float | None:
    if not pocket.any():
        return None
    count, piece = pieces_of(network, pocket)
    areas = unfilled_areas_m2(network, 1.0 - before.saturation, np.flatnonzero(pocket), piece, count)
    matters = pocket & (areas[np.where(pocket, piece, piece[pocket][0])] >= max(smallest_m2, 1e-12))
    return float(out_s[matters].min()) if matters.any() else None
