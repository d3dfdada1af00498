"""The pressure equations of the wet region, assembled and solved with one ordering for many steps."""

from __future__ import annotations

import numpy as np
import qdldl
from scipy import sparse

from optimiser.network.flow_network import BoolArray, FloatArray, IntArray, Links

_REACH = 6
"""The window looks this many links ahead of the wet nodes: the front crosses it in some ten steps."""


class PressureSystem:
    """Solves sum_j g_ij (w_i - w_j) = b_i on wet nodes, with w = 0 on all others.

    Equations are kept for a window: the wet nodes and those a few links ahead of them. While the front stays inside,
    the sparsity pattern does not change, so the fill-reducing ordering is kept and a step only puts new numbers in
    (QDLDL, Stellato et al., Math. Program. Comput. 12:637-672, 2020).
    """

    def __init__(self, node_count: int, links: Links) -> None:
        self._n, self._links = node_count, links
        self._scale = float(np.median(links.conductance_m3[links.conductance_m3 > 0]))
        self._window: BoolArray = np.zeros(node_count, dtype=bool)
        self._nodes: IntArray = np.empty(0, dtype=np.int64)
        self._inside: IntArray = np.empty(0, dtype=np.int64)
        self._slot: IntArray = np.empty(0, dtype=np.int64)
        self._pattern: tuple[IntArray, IntArray] = (self._slot, self._slot)
        self._entries = 0
        self._solver: qdldl.Solver | None = None
        self.factorisations = 0

    def factor(self, diagonal: FloatArray, off_diagonal: FloatArray, wet: BoolArray) -> None:
        """Put in the numbers: diagonal of wet nodes (n,), link entries (m,), both m3; dry rows become identity."""
        if self._solver is None or (wet & ~self._window).any():
            self._open_window(wet)
            self._solver = None
        values = np.concatenate(
            [off_diagonal[self._inside], np.where(wet[self._nodes], diagonal[self._nodes], self._scale)]
        )
        data = np.bincount(self._slot, weights=values, minlength=self._entries)
        matrix = sparse.csc_matrix((data, *self._pattern), shape=(len(self._nodes),) * 2)
        if self._solver is None:
            self._solver = qdldl.Solver(matrix, upper=True)
        else:
            self._solver.update(matrix, upper=True)
        self.factorisations += 1

    def solve(self, right_hand_side: FloatArray) -> FloatArray:
        """w on all nodes for b (n,); nodes outside the window keep zero."""
        if self._solver is None:
            raise ValueError("factor before solving")
        w = np.zeros(self._n)
        w[self._nodes] = self._solver.solve(right_hand_side[self._nodes])
        return w

    def _open_window(self, wet: BoolArray) -> None:
        start, end = self._links.start, self._links.end
        window = wet.copy()
        for _ in range(_REACH):
            ahead = window.copy()
            ahead[end[window[start]]] = True
            ahead[start[window[end]]] = True
            window = ahead
        self._window, self._nodes = window, np.flatnonzero(window)
        count = len(self._nodes)
        place = np.full(self._n, -1)
        place[self._nodes] = np.arange(count)
        self._inside = np.flatnonzero(window[start] & window[end])
        a, b = place[start[self._inside]], place[end[self._inside]]
        rows = np.concatenate([np.minimum(a, b), np.arange(count)])
        columns = np.concatenate([np.maximum(a, b), np.arange(count)])
        key, self._slot = np.unique(columns * count + rows, return_inverse=True)
        self._pattern = (key % count, np.searchsorted(key // count, np.arange(count + 1)))
        self._entries = len(key)
