"""Which unfilled regions have lost their last open vent."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optimiser.filling.air_pieces import pieces_of, unfilled_areas_m2
from optimiser.network.flow_network import BoolArray, FloatArray, FlowNetwork, IntArray


@dataclass(frozen=True, kw_only=True)
class LockedPiece:
    """A connected piece of unfilled nodes without an open vent on it."""

    nodes: IntArray
    area_m2: float
    """Unfilled area of its cells; dry through all their layers or in one of them, a cell counts once."""
    pore_m3: float
    """Unfilled pore volume."""


def locked_pieces(network: FlowNetwork, saturation: FloatArray, lost: BoolArray) -> list[LockedPiece]:
    """Unfilled pieces that no open vent stands on, largest first; lost: nodes that are dry without a way out."""
    if not lost.any():
        return []
    count, piece = pieces_of(network, lost)
    unfilled = 1.0 - saturation
    areas = unfilled_areas_m2(network, unfilled, np.flatnonzero(lost), piece, count)
    volumes = np.bincount(piece[lost], weights=(unfilled * network.volume_m3)[lost], minlength=count)
    found = [
        LockedPiece(nodes=np.flatnonzero(lost & (piece == k)), area_m2=float(areas[k]), pore_m3=float(volumes[k]))
        for k in np.unique(piece[lost])
    ]
    return sorted(found, key=lambda one: (-one.pore_m3, int(one.nodes[0])))
