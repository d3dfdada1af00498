"""Air that locked regions hold: how much, where, and how hard it presses."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optimiser.filling.air_pieces import air_links, pieces_of
from optimiser.filling.front_state import FrontState
from optimiser.network.flow_network import BoolArray, FloatArray, FlowNetwork, IntArray

LEAST_ROOM = 1e-9
"""Share of its room that air is left at least: a dry node may hold a little too much for a step."""



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
        return self.amount_pa_m3 / self.room_m3


def trapped_air(
    network: FlowNetwork, state: FrontState, held: BoolArray, earlier: TrappedAir | None, closed_in_pa: float
) -> TrappedAir | None:
    """What the nodes of locked regions hold now; None: nothing.

    held: nodes of locked regions; those that an earlier state knows keep their pressure, others have just been closed.
    """
    dry = held & ~state.wet
    if not dry.any():
        return None
    nodes = np.flatnonzero(dry)
    piece = np.full(network.node_count, -1)
    piece[nodes] = np.unique(pieces_of(network, air_links(network, dry))[1][nodes], return_inverse=True)[1]
    unfilled_m3 = network.volume_m3 * (1.0 - state.saturation)
    pressure_pa = np.full(len(piece), closed_in_pa)
    if earlier is not None:
        known = nodes[earlier.piece[nodes] >= 0]
        # by what each region holds after the step, so that nothing is lost
        room_m3 = np.bincount(earlier.piece[known], unfilled_m3[known], len(earlier.room_m3))
        whole_m3 = np.bincount(earlier.piece[known], network.volume_m3[known], len(earlier.room_m3))
        now_pa = earlier.amount_pa_m3 / np.maximum(room_m3, LEAST_ROOM * np.maximum(whole_m3, earlier.room_m3))
        pressure_pa[known] = now_pa[earlier.piece[known]]
    regions = int(piece.max()) + 1
    volume_m3 = np.bincount(piece[nodes], network.volume_m3[nodes], regions)
    room_m3 = np.maximum(np.bincount(piece[nodes], unfilled_m3[nodes], regions), LEAST_ROOM * volume_m3)
    held = (pressure_pa * np.maximum(unfilled_m3, 0.0))[nodes]
    amount = np.bincount(piece[nodes], held, regions).astype(np.float64, copy=False)
    return TrappedAir(piece=piece, amount_pa_m3=amount, room_m3=room_m3, closed_in_pa=closed_in_pa)
