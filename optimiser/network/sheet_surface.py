"""A triangle surface as cells round its corners: linear elements with lumped volumes."""

from __future__ import annotations

import numpy as np

from optimiser.network.flow_network import FloatArray, IntArray, Links
from optimiser.network.sheet import Sheet
from optimiser.network.sheet_lattice import area_index_at
from optimiser.network.triangles_along_fibres import along_fibres
from optimiser.part.part import Part

_LEAST_CONDUCTANCE_SHARE = 1e-6
"""Links that linear elements would give a negative or vanishing conductance get this share of the largest."""


def cut_surface(part: Part, cell_m: float) -> Sheet:
    """One cell for each corner of the mesh, its triangles first split until they are about as wide as a cell.

    The conductance between two corners is minus their entry in the linear element stiffness matrix,
    K_ab = sum over triangles of area * grad N_a . T grad N_b (control volumes on a triangle mesh: Bruschke &
    Advani, Polym. Compos. 11:398-405, 1990). Obtuse corners, and fibres that run across an edge, make it
    negative: such triangles are drawn anew (`along_fibres`), and the few links at borders that are so still are
    closed to almost nothing, so that the system stays an M-matrix. Volumes are those of the triangles as they lie.
    """
    surface = part.surface
    if surface is None:
        raise ValueError("the part is not a surface")
    corners, triangles = _as_fine_as(cell_m, np.array(surface.vertices_m), np.array(surface.triangles, dtype=np.int64))
    p = corners[triangles]
    double_area = np.linalg.norm(np.cross(p[:, 1] - p[:, 0], p[:, 2] - p[:, 0]), axis=1)

    def stiffness(some: IntArray, areas: IntArray) -> FloatArray:
        return _stiffness(part, corners[some], areas)

    turned, areas = along_fibres(corners, triangles, area_index_at(part, p.mean(axis=1)[:, :2]), stiffness)
    area = np.bincount(triangles.ravel(), weights=np.repeat(double_area / 6, 3), minlength=len(corners)).astype(float)
    shares = np.zeros((len(corners), len(part.areas)))
    np.add.at(shares, (triangles.ravel(), np.repeat(areas, 3)), np.repeat(double_area / 6, 3))
    return Sheet(
        cell_size_m=float(np.sqrt(double_area.mean())),
        position_m=corners,
        height_m=corners[:, 2].copy(),
        area_m2=area,
        area_of_cell=area_index_at(part, corners[:, :2]),
        shares=shares / area[:, None],
        links=_links(turned, stiffness(turned, areas), len(corners)),
        triangles=triangles,
    )


def _stiffness(part: Part, p: FloatArray, areas: IntArray) -> FloatArray:
    """(t, 3, 3): of linear elements with these corners, (t, 3, 3), and the part's areas that they lie in."""
    normal = np.cross(p[:, 1] - p[:, 0], p[:, 2] - p[:, 0])
    double_area = np.linalg.norm(normal, axis=1)
    normal /= double_area[:, None]
    tensors = _tensors_in_space(part, normal, areas)
    grads = np.stack(
        [np.cross(normal, p[:, (k + 2) % 3] - p[:, (k + 1) % 3]) / double_area[:, None] for k in range(3)], axis=1
    )
    return np.asarray(np.einsum("t,tai,tij,tbj->tab", double_area / 2, grads, tensors, grads))


def _as_fine_as(cell_m: float, corners: FloatArray, triangles: IntArray) -> tuple[FloatArray, IntArray]:
    """Every triangle in four, as often as brings most of the area nearest to the wanted width; never coarser.

    The width is that of a square whose diagonal is the longest side.
    """
    p = corners[triangles]
    width_m = np.linalg.norm(p - np.roll(p, 1, axis=1), axis=2).max(axis=1) / np.sqrt(2)
    double_area = np.linalg.norm(np.cross(p[:, 1] - p[:, 0], p[:, 2] - p[:, 0]), axis=1)
    halvings = round(float(np.log2(np.average(width_m, weights=double_area) / cell_m)))
    if halvings > 0:
        import trimesh  # it takes half a second to load

        for _ in range(halvings):
            corners, triangles = trimesh.remesh.subdivide(corners, triangles)  # type: ignore[no-untyped-call]
    return corners, triangles


def _tensors_in_space(part: Part, normal: FloatArray, area_of_triangle: IntArray) -> FloatArray:
    """Each triangle's tensor in space."""
    basis = np.stack(axes_on(normal), axis=1)
    plane = np.array([area.laminate.transmissibility_m3 for area in part.areas])[area_of_triangle]
    return np.asarray(np.einsum("tai,tab,tbj->tij", basis, plane, basis))


def axes_on(normal: FloatArray) -> tuple[FloatArray, FloatArray]:
    """The sheet's x and y axes on planes of these normals, (n, 3) each: x is the global x laid onto the plane."""
    global_x = np.tile([1.0, 0.0, 0.0], (len(normal), 1))
    steep = np.abs(normal[:, 0]) > 0.99
    global_x[steep] = [0.0, 1.0, 0.0]
    along = global_x - (global_x * normal).sum(axis=1)[:, None] * normal
    along /= np.linalg.norm(along, axis=1)[:, None]
    return along, np.cross(normal, along)


def _links(triangles: IntArray, stiffness: FloatArray, corner_count: int) -> Links:
    pairs, values = [], []
    for a, b in ((0, 1), (1, 2), (2, 0)):
        pairs.append(np.sort(triangles[:, [a, b]], axis=1))
        values.append(-stiffness[:, a, b])
    pair = np.concatenate(pairs)
    key, where = np.unique(pair[:, 0] * corner_count + pair[:, 1], return_inverse=True)
    conductance = np.bincount(where, weights=np.concatenate(values))
    conductance = np.maximum(conductance, _LEAST_CONDUCTANCE_SHARE * conductance.max())
    return Links(start=key // corner_count, end=key % corner_count, conductance_m3=conductance)
