"""Keeps watch for regions that lose their last open vent, and remembers what closed them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from optimiser.filling.fill_run import Lock
from optimiser.filling.front_state import FrontState
from optimiser.filling.locked_regions import LockedPiece, locked_pieces
from optimiser.filling.trapped_air import TrappedAir
from optimiser.network.flow_network import BoolArray, FloatArray, FlowNetwork, IntArray
from optimiser.physics.trapped_gas import pressed_by_pa


class LockWatch:
    def __init__(self, network: FlowNetwork, smallest_m2: float) -> None:
        self.network, self.smallest_m2 = network, smallest_m2
        self.locked = np.zeros(network.node_count, dtype=bool)
        self.holds_air = np.zeros(network.node_count, dtype=bool)
        """Nodes of locked regions that matter: whatever is smaller may be the lattice's, and fills up."""
        self.locks: list[Lock] = []
        self._borders: list[IntArray] = []
        """Nodes of resin round each of the locks when it closed."""

    def look(self, state: FrontState, lost: BoolArray, source: IntArray, now_s: float) -> None:
        """Record regions that have lost their last open vent since the last look; lost: nodes dry without a way out."""
        if not (lost & ~self.locked).any():
            return
        for piece in locked_pieces(self.network, state.saturation, lost):
            known = self.locked[piece.nodes]
            if known.any():
                self.locked[piece.nodes] = True
                continue
            self.locked[piece.nodes] = True
            if piece.area_m2 <= 0.0:
                continue
            border = self._border(piece.nodes, state.wet)
            self.locks.append(self._lock(piece, border, state, source, now_s))
            self.holds_air[piece.nodes] = self.locks[-1].fails
            self._borders.append(np.unique(border))

    def pressed_locks(self, pressure_pa: FloatArray, air: TrappedAir | None) -> tuple[Lock, ...]:
        """The locks with what presses on them at the end of the run, by the pressures of the nodes then.

        A region that fills as if it held no air lets resin round it move on and press less than it would: what is left
        of the air is no less than that.
        """
        return tuple(
            replace(lock, pressed_by_pa=self._pressed_pa(lock, border, pressure_pa, air))
            for lock, border in zip(self.locks, self._borders, strict=True)
        )

    def _pressed_pa(self, lock: Lock, border: IntArray, pressure_pa: FloatArray, air: TrappedAir | None) -> float:
        held = lock.nodes[:0] if air is None else lock.nodes[air.piece[lock.nodes] >= 0]
        if air is None or len(held) == 0:
            return max(0.0, float(pressure_pa[border].mean())) if len(border) else 0.0
        left_m3 = float(air.room_m3[np.unique(air.piece[held])].sum())
        return max(0.0, pressed_by_pa(closed_in_pa=air.closed_in_pa, closed_in_m3=lock.pore_m3, left_m3=left_m3))

    def _lock(self, piece: LockedPiece, border: IntArray, state: FrontState, source: IntArray, now_s: float) -> Lock:
        network, nodes = self.network, piece.nodes
        weight = (network.area_m2 * (1 - state.saturation))[nodes]
        return Lock(
            at_s=now_s,
            nodes=nodes,
            area_m2=piece.area_m2,
            pore_m3=piece.pore_m3,
            x_m=float(np.average(network.x_m[nodes], weights=weight)),
            y_m=float(np.average(network.y_m[nodes], weights=weight)),
            closed_by=self._lines_of(source[border]),
            fails=piece.area_m2 >= self.smallest_m2,
            on_tool_side=bool((nodes >= network.cell_count).all()),
        )

    def _border(self, nodes: IntArray, wet: BoolArray) -> IntArray:
        """Wet neighbours of these nodes, once for each link to one."""
        links = self.network.links
        inside: BoolArray = np.zeros(self.network.node_count, dtype=bool)
        inside[nodes] = True
        return np.concatenate(
            [links.end[inside[links.start] & wet[links.end]], links.start[inside[links.end] & wet[links.start]]]
        )

    def _lines_of(self, sources: IntArray) -> tuple[str, ...]:
        """Lines whose resin stands there, the longest border first."""
        index, count = np.unique(sources[sources >= 0], return_counts=True)
        order = np.lexsort((index, -count))
        return tuple(self.network.lines[k].label for k in index[order])
