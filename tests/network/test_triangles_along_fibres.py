"""Triangles drawn anew along the fibres: no link runs the wrong way, no corner or area is lost."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.spatial import Delaunay

from optimiser.network.flow_network import FloatArray, IntArray
from optimiser.network.triangles_along_fibres import Stiffness, along_fibres

SIDE = 12


def square(*, crossed: bool = False) -> tuple[FloatArray, IntArray]:
    corners = np.array([(i, j, 0.0) for i in range(SIDE + 1) for j in range(SIDE + 1)])
    triangles = []
    for i in range(SIDE):
        for j in range(SIDE):
            a = i * (SIDE + 1) + j
            b = a + SIDE + 1
            other_way = crossed and (i + j) % 2
            triangles += [(a, b, a + 1), (b, b + 1, a + 1)] if other_way else [(a, b, b + 1), (a, b + 1, a + 1)]
    return corners, np.array(triangles)


def elements(corners: FloatArray, tensor: FloatArray) -> Stiffness:
    """Linear elements in the plane."""

    def stiffness(triangles: IntArray, _: IntArray) -> FloatArray:
        p = corners[triangles][:, :, :2]
        double = areas(corners, triangles)
        edge = np.stack([p[:, (k + 2) % 3] - p[:, (k + 1) % 3] for k in range(3)], axis=1)
        grads = np.stack([-edge[:, :, 1], edge[:, :, 0]], axis=2) / double[:, None, None]
        return np.asarray(np.einsum("t,tai,ij,tbj->tab", double / 2, grads, tensor, grads))

    return stiffness


def areas(corners: FloatArray, triangles: IntArray) -> FloatArray:
    """Twice, and positive where the triangle is seen from above as it was drawn."""
    p = corners[triangles]
    return np.asarray(np.cross(p[:, 1] - p[:, 0], p[:, 2] - p[:, 0])[:, 2])


def turned(ratio: float, angle_deg: float) -> FloatArray:
    turn = math.radians(angle_deg)
    along, across = np.array([math.cos(turn), math.sin(turn)]), np.array([-math.sin(turn), math.cos(turn)])
    return np.asarray(np.outer(along, along) + np.outer(across, across) / ratio)


def inner_links(triangles: IntArray, stiffness: Stiffness) -> FloatArray:
    """Of every edge that two triangles share."""
    k = stiffness(triangles, np.zeros(len(triangles), dtype=np.int64))
    found: dict[tuple[int, int], list[float]] = {}
    for triangle, own in zip(triangles.tolist(), k, strict=True):
        for a, b in ((0, 1), (1, 2), (2, 0)):
            found.setdefault((min(triangle[a], triangle[b]), max(triangle[a], triangle[b])), []).append(-own[a, b])
    return np.array([sum(values) for values in found.values() if len(values) == 2])


@pytest.mark.parametrize("crossed", [False, True])
@pytest.mark.parametrize(("ratio", "angle_deg"), [(1.0, 0.0), (5.0, -45.0), (20.0, -30.0), (20.0, 72.0)])
def test_no_link_inside_an_even_sheet_stays_negative(crossed: bool, ratio: float, angle_deg: float) -> None:
    """And the sheet is covered once: as many triangles, none turned over, all of the area."""
    corners, triangles = square(crossed=crossed)
    stiffness = elements(corners, turned(ratio, angle_deg))
    new, of_area = along_fibres(corners, triangles, np.zeros(len(triangles), dtype=np.int64), stiffness)
    assert inner_links(new, stiffness).min() > -1e-6
    assert areas(corners, new).min() > 0
    assert areas(corners, new).sum() == pytest.approx(2 * SIDE**2, rel=1e-12)
    assert len(of_area) == len(new) == len(triangles)


def test_scattered_corners_end_as_delaunay_has_them() -> None:
    """With the same permeability every way it is the triangulation of Qhull, which SciPy carries."""
    random = np.random.default_rng(3)
    plane = np.concatenate([random.uniform(0.05, 0.95, (60, 2)), [(0, 0), (1, 0), (1, 1), (0, 1)]])
    corners = np.column_stack([plane, np.zeros(len(plane))])
    triangles = Delaunay(plane).simplices.astype(np.int64)
    triangles = np.where((areas(corners, triangles) > 0)[:, None], triangles, triangles[:, ::-1])
    stretched = elements(corners, turned(3.0, 20.0))
    nowhere = np.zeros(len(triangles), dtype=np.int64)
    spoilt, _ = along_fibres(corners, triangles, nowhere, stretched)
    assert as_set(spoilt) != as_set(triangles)
    back, _ = along_fibres(corners, spoilt, nowhere, elements(corners, np.eye(2)))
    assert as_set(back) == as_set(triangles)


def as_set(triangles: IntArray) -> set[tuple[int, ...]]:
    return {tuple(sorted(one)) for one in triangles.tolist()}


def test_the_border_of_two_laminates_and_a_sharp_bend_stay() -> None:
    """Every edge between the halves is there as before, whatever the fibres."""
    corners, triangles = square()
    middle = SIDE // 2
    half = (corners[triangles].mean(axis=1)[:, 0] > middle).astype(np.int64)
    border = {(i, i + 1) for i in range(middle * (SIDE + 1), middle * (SIDE + 1) + SIDE)}
    new, _ = along_fibres(corners, triangles, half, elements(corners, turned(20.0, -30.0)))
    assert border <= edges(new)
    bent = corners.copy()
    bent[:, 2] = np.maximum(0.0, corners[:, 0] - middle)
    nowhere = np.zeros(len(triangles), dtype=np.int64)
    new, _ = along_fibres(bent, triangles, nowhere, elements(corners, turned(20.0, -30.0)))
    assert border <= edges(new)


def edges(triangles: IntArray) -> set[tuple[int, int]]:
    return {(min(one[k], one[k - 1]), max(one[k], one[k - 1])) for one in triangles.tolist() for k in range(3)}
