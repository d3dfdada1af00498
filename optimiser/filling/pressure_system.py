"""The pressure equations of the wet region, assembled and solved with one ordering for many steps."""

from __future__ import annotations

import numpy as np
import qdldl
from scipy import sparse

from optimiser.filling.layer_columns import LayerColumns
from optimiser.network.flow_network import BoolArray, FloatArray, IntArray, Links

_REACH = 6
"""The window looks this many links ahead of the wet nodes: the front crosses it in some ten steps."""


class PressureSystem:
    """Solves sum_j g_ij (w_i - w_j) = b_i on wet nodes, with w = 0 on all others.

    Equations are kept for a window: the wet nodes and those a few links ahead of them. While the front stays inside,
    the sparsity pattern does not change, so the fill-reducing ordering is kept and a step only puts new numbers in
    (QDLDL, Stellato et al., Math. Program. Comput. 12:637-672, 2020).

    Layers of one column share a row, the sum of their equations with one pressure, once the front has left them behind
    (`layer_columns`): three layers all over cost sixteen times what one does. The balance of a row is kept exactly.
    """

    def __init__(self, node_count: int, links: Links, columns: LayerColumns | None = None) -> None:
        """columns: which nodes may share a row; None: every node keeps its own."""
        self._n, self._links, self._columns = node_count, links, columns
        self._scale = float(np.median(links.conductance_m3[links.conductance_m3 > 0]))
        self._window: BoolArray = np.zeros(node_count, dtype=bool)
        self._nodes: IntArray = np.empty(0, dtype=np.int64)
        self._inside: IntArray = np.empty(0, dtype=np.int64)
        self._slot: IntArray = np.empty(0, dtype=np.int64)
        self._row: IntArray = np.empty(0, dtype=np.int64)
        self._rows = 0
        self._weight: FloatArray | float = 1.0
        self._shares: BoolArray = np.zeros(node_count, dtype=bool)
        self._pattern: tuple[IntArray, IntArray] = (self._slot, self._slot)
        self._entries = 0
        self._matrix = sparse.csc_matrix((1, 1))
        self._solver: qdldl.Solver | None = None
        self.systems = 0
        """Put in so far; of those alike one after the other the first is factored, as where a step is taken again."""

    def factor(self, diagonal: FloatArray, off_diagonal: FloatArray, wet: BoolArray) -> None:
        """Put in the numbers: diagonal of wet nodes (n,), link entries (m,), both m3; dry rows become identity."""
        if self._solver is None or self._outgrown(wet):
            self._open_window(wet)
            self._solver = None
        off = off_diagonal[self._inside]
        if self._columns is not None:
            off = off * self._weight
        values = np.concatenate([off, np.where(wet[self._nodes], diagonal[self._nodes], self._scale)])
        data = np.bincount(self._slot, weights=values, minlength=self._entries)
        if self._solver is None:
            self._matrix = sparse.csc_matrix((data, *self._pattern), shape=(self._rows, self._rows))
            self._solver = qdldl.Solver(self._matrix, upper=True)
        elif not np.array_equal(data, self._matrix.data):
            self._matrix.data = data
            self._solver.update(self._matrix, upper=True)
        self.systems += 1

    def solve(self, right_hand_side: FloatArray) -> FloatArray:
        """w on all nodes for b (n,); nodes outside the window keep zero."""
        if self._solver is None:
            raise ValueError("factor before solving")
        w = np.zeros(self._n)
        if self._columns is None:
            w[self._nodes] = self._solver.solve(right_hand_side[self._nodes])
        else:
            w[self._nodes] = self._solver.solve(self.by_row(right_hand_side))[self._row]
        return w

    def by_row(self, values: FloatArray) -> FloatArray:
        """Values of nodes added up by the rows they share."""
        if self._columns is None:
            return values
        return np.bincount(self._row, values[self._nodes], self._rows).astype(np.float64, copy=False)

    def _outgrown(self, wet: BoolArray) -> bool:
        """Whether resin has left the window, or a column that shares a row."""
        if np.count_nonzero(wet & ~self._window):
            return True
        return self._columns is not None and bool(np.count_nonzero(self._shares & ~wet))

    def _open_window(self, wet: BoolArray) -> None:
        start, end = self._links.start, self._links.end
        window = wet.copy()
        for _ in range(_REACH):
            ahead = window.copy()
            ahead[end[window[start]]] = True
            ahead[start[window[end]]] = True
            window = ahead
        self._window, self._nodes = window, np.flatnonzero(window)
        place = self._places(wet)
        count = self._rows
        self._inside = np.flatnonzero(window[start] & window[end])
        a, b = place[start[self._inside]], place[end[self._inside]]
        if self._columns is not None:
            self._weight = np.where(a == b, 2.0, 1.0)
        rows = np.concatenate([np.minimum(a, b), self._row])
        columns = np.concatenate([np.maximum(a, b), self._row])
        key, self._slot = np.unique(columns * count + rows, return_inverse=True)
        self._pattern = (key % count, np.searchsorted(key // count, np.arange(count + 1)))
        self._entries = len(key)

    def _places(self, wet: BoolArray) -> IntArray:
        """The row of each node of the window, -1 outside."""
        keeper = np.arange(self._n)
        if self._columns is not None:
            self._shares = self._columns.settled(wet, self._links)
            keeper = np.where(self._shares, self._columns.top, keeper)
        kept = self._nodes[keeper[self._nodes] == self._nodes]
        place = np.full(self._n, -1)
        place[kept] = np.arange(len(kept))
        self._rows = len(kept)
        self._row = place[keeper[self._nodes]]
        place[self._nodes] = self._row
        return place
