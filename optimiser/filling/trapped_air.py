"""Air that locked regions hold: how much, where, and how hard it presses."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optimiser.filling.air_pieces import pieces_of
from optimiser.filling.front_state import FrontState
from optimiser.network.flow_network import BoolArray, FloatArray, FlowNetwork, IntArray
from optimiser.physics.trapped_gas import gas_pressure_pa

LEAST_ROOM = 1e-9
"""Share of its room that air is left at least."""


@dataclass(frozen=True, kw_only=True)
class TrappedAir:
    """What is held in each region between two steps. A region that resin parts is two from the next step on."""

    piece: IntArray
    """Region of each node, -1 where none is held."""
    amount_pa_m3: FloatArray
    """Pressure times volume of each region: that stays, by Boyle's law (`physics/trapped_gas.py`)."""
    room_m3: FloatArray
    """Unfilled volume of each at this moment."""
    closed_in_pa: float
    """Absolute pressure at which air is closed in: pressures of resin count from it."""

    @property
    def pressure_pa(self) -> FloatArray:
        """Of each region, absolute."""
        return gas_pressure_pa(amount_pa_m3=self.amount_pa_m3, room_m3=self.room_m3)


def trapped_air(
    network: FlowNetwork, state: FrontState, held: BoolArray, earlier: TrappedAir | None, closed_in_pa: float
) -> TrappedAir | None:
    """What the nodes of locked regions hold now; None: nothing.

    held: nodes of locked regions; those that an earlier state knows keep their pressure, others have just been closed.
    """
    dry = held & ~state.wet
    if not dry.any():
        return None
    unfilled_m3 = np.maximum(network.volume_m3 * (1.0 - state.saturation), 0.0)
    piece = _pieces(network, dry, unfilled_m3)
    nodes = np.flatnonzero(piece >= 0)
    if len(nodes) == 0:
        return None
    pressure_pa = np.full(len(piece), closed_in_pa)
    if earlier is not None:
        known = nodes[earlier.piece[nodes] >= 0]
        room_m3 = np.bincount(earlier.piece[known], unfilled_m3[known], len(earlier.room_m3))
        left_m3 = np.where(room_m3 > 0, room_m3, 1.0)
        now_pa = gas_pressure_pa(amount_pa_m3=earlier.amount_pa_m3, room_m3=left_m3)
        pressure_pa[known] = now_pa[earlier.piece[known]]
    return TrappedAir(
        piece=piece,
        amount_pa_m3=np.bincount(piece[nodes], (pressure_pa * unfilled_m3)[nodes]).astype(np.float64, copy=False),
        room_m3=np.bincount(piece[nodes], unfilled_m3[nodes]).astype(np.float64, copy=False),
        closed_in_pa=closed_in_pa,
    )


def _pieces(network: FlowNetwork, dry: BoolArray, unfilled_m3: FloatArray) -> IntArray:
    """Region of each dry node, numbered from 0; what has no room left, as a node may hold too much, is none."""
    count, piece = pieces_of(network, dry)
    room_m3 = np.bincount(piece[dry], unfilled_m3[dry], count)
    nodes = np.flatnonzero(dry & (room_m3[piece] > LEAST_ROOM * network.volume_m3))
    out = np.full(network.node_count, -1)
    out[nodes] = np.unique(piece[nodes], return_inverse=True)[1]
    return out
