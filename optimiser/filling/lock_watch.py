"""Keeps watch for regions that lose their last open vent, and remembers what closed them."""

from __future__ import annotations

import numpy as np

from optimiser.filling.fill_run import Lock
from optimiser.filling.front_state import FrontState
from optimiser.filling.locked_regions import LockedPiece, locked_pieces
from optimiser.network.flow_network import BoolArray, FlowNetwork, IntArray


class LockWatch:
    def __init__(self, network: FlowNetwork, smallest_m2: float) -> None:
        self.network, self.smallest_m2 = network, smallest_m2
        self.locked = np.zeros(network.node_count, dtype=bool)
        self.locks: list[Lock] = []

    def look(self, state: FrontState, vent_open: BoolArray, source: IntArray, now_s: float) -> None:
        """Record regions that have lost their last open vent since the last look."""
        for piece in locked_pieces(self.network, state.saturation, state.wet, vent_open):
            known = self.locked[piece.nodes]
            if known.any():
                self.locked[piece.nodes] = True
                continue
            self.locked[piece.nodes] = True
            if piece.area_m2 <= 0.0:
                continue
            self.locks.append(self._lock(piece, state, source, now_s))

    def _lock(self, piece: LockedPiece, state: FrontState, source: IntArray, now_s: float) -> Lock:
        network, nodes = self.network, piece.nodes
        weight = (network.area_m2 * (1 - state.saturation))[nodes]
        return Lock(
            at_s=now_s,
            nodes=nodes,
            area_m2=piece.area_m2,
            pore_m3=piece.pore_m3,
            x_m=float(np.average(network.x_m[nodes], weights=weight)),
            y_m=float(np.average(network.y_m[nodes], weights=weight)),
            closed_by=self._round_about(nodes, state.wet, source),
            fails=piece.area_m2 >= self.smallest_m2,
            under_mesh=bool((nodes >= network.cell_count).all()),
        )

    def _round_about(self, nodes: IntArray, wet: BoolArray, source: IntArray) -> tuple[str, ...]:
        """Lines whose resin stands in the wet neighbours of these nodes, the longest border first."""
        links = self.network.links
        inside: BoolArray = np.zeros(self.network.node_count, dtype=bool)
        inside[nodes] = True
        neighbours = np.concatenate(
            [links.end[inside[links.start] & wet[links.end]], links.start[inside[links.end] & wet[links.start]]]
        )
        sources = source[neighbours]
        index, count = np.unique(sources[sources >= 0], return_counts=True)
        order = np.lexsort((index, -count))
        return tuple(self.network.lines[k].label for k in index[order])
