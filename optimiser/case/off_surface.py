"""How far points lie off a triangle surface."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

_MANY = 12
"""Vertices near a point round which triangles are looked at, if it is not close to those round the nearest."""
_PAIRS_AT_ONCE = 200_000
"""Of a point and a triangle: some hundred bytes each."""

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]


class SurfaceDistance:
    """A mesh, to be asked for many points. Every vertex must be in a triangle."""

    def __init__(self, vertices: Floats, triangles: Indices) -> None:
        self._corners = vertices[triangles]
        self._tree = cKDTree(vertices)
        by_vertex = np.argsort(triangles, axis=None)
        self._round_vertex = by_vertex // 3
        """Triangles round vertex 0, then those round vertex 1, and so on."""
        self._first = np.searchsorted(triangles.ravel()[by_vertex], np.arange(len(vertices) + 1))
        """Where those of each vertex begin."""

    @property
    def most_round_a_vertex(self) -> int:
        return int(np.diff(self._first).max())

    def of(self, points: Floats, *, close: float) -> Floats:
        """From each of the (n, 3) points to the surface; no more than `close` where that is so."""
        distances = self._nearest(points, 1)
        apart = distances > close
        distances[apart] = self._nearest(points[apart], _MANY)
        return distances

    def _nearest(self, points: Floats, vertices: int) -> Floats:
        _, near = self._tree.query(points, k=range(1, 1 + min(vertices, self._tree.n)))
        size = max(1, _PAIRS_AT_ONCE // (vertices * self.most_round_a_vertex))
        parts = (slice(start, start + size) for start in range(0, len(points), size))
        return np.concatenate([np.empty(0), *(self._to_triangles(points[part], near[part]) for part in parts)])

    def _to_triangles(self, points: Floats, near: Indices) -> Floats:
        """From each point to the closest triangle round the vertices near it, (n, k)."""
        import trimesh  # only a surface needs it, and it takes half a second to load

        counts = self._first[near + 1] - self._first[near]
        begins = np.cumsum(counts) - counts.ravel()
        places = np.arange(counts.sum()) + np.repeat(self._first[near].ravel() - begins, counts.ravel())
        asked = np.repeat(points, counts.sum(axis=1), axis=0)
        closest = trimesh.triangles.closest_point(  # type: ignore[no-untyped-call]
            self._corners[self._round_vertex[places]], asked
        )
        distances = np.linalg.norm(closest - asked, axis=1)
        nearest: Floats = np.minimum.reduceat(distances, begins[:: near.shape[1]])
        return nearest
