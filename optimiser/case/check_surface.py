"""A triangle surface: one piece, without holes in its lists, folds of no width, or edges shared by three."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray

from optimiser.case.case_document import CaseDocument
from optimiser.case.check_outlines import LEAST_EXTENT_MM, ring_objection
from optimiser.case.layout_document import SurfaceDocument
from optimiser.case.pointer import pointer
from optimiser.errors import Fault

_LEAST_TRIANGLE_MM2 = 0.01
_MOST_FAULTS = 20


def surface_faults(surface: SurfaceDocument) -> Iterator[Fault]:
    """Faults of the mesh; while there is one, nothing that rests on it can be judged."""
    vertices, triangles = np.array(surface.vertices_mm), np.array(surface.triangles)
    extent_mm = float(np.ptp(vertices, axis=0).max())
    if extent_mm < LEAST_EXTENT_MM:
        yield Fault(
            path=pointer("sheet", "surface", "vertices_mm"),
            found=f"a surface {extent_mm:g} mm long",
            expected=f"a part longer than {LEAST_EXTENT_MM:g} mm",
            remedy="write millimetres, not metres",
        )
    broken = list(_triangle_faults(vertices, triangles))
    yield from broken or _mesh_faults(vertices, triangles)


def area_of_surface_mm2(surface: SurfaceDocument) -> float:
    """Of a mesh without fault."""
    return float(_areas_mm2(np.array(surface.vertices_mm)[np.array(surface.triangles)]).sum())


def surface_area_faults(document: CaseDocument, surface: SurfaceDocument) -> Iterator[Fault]:
    """Areas seen from above, asked at vertices and at the middles of triangles as the network does."""
    sound = True
    for place, area in enumerate(document.areas):
        if area.border_mm is not None and (objection := ring_objection(area.border_mm)):
            sound = False
            path = pointer("areas", place, "border_mm")
            yield Fault(path=path, found=objection[0], expected=objection[1])
    borders = [area.border_mm for area in document.areas]
    if not sound or None in borders:
        return
    vertices, triangles = np.array(surface.vertices_mm), np.array(surface.triangles)
    asked = np.concatenate([vertices, vertices[triangles].mean(axis=1)])[:, :2]
    cover = shapely.union_all([shapely.Polygon(border) for border in borders if border is not None])
    bare = asked[~shapely.intersects_xy(cover, asked[:, 0], asked[:, 1])]
    if len(bare):
        yield Fault(
            path=pointer("areas"),
            found=f"no laminate near [{bare[0][0]:g}, {bare[0][1]:g}] and at {len(bare) - 1} places more",
            expected="areas that cover the whole surface, seen from above",
            remedy="let the first area have border_mm: null",
        )


def _triangle_faults(vertices: NDArray[np.float64], triangles: NDArray[np.int64]) -> Iterator[Fault]:
    absent: NDArray[np.bool_] = np.any(triangles >= len(vertices), axis=1)
    for place in np.flatnonzero(absent)[:_MOST_FAULTS]:
        yield Fault(
            path=pointer("sheet", "surface", "triangles", place),
            found=f"vertex {triangles[place].max()} of {len(vertices)}",
            expected=f"vertices counted from 0 to {len(vertices) - 1}",
        )
    area_mm2 = _areas_mm2(vertices[np.where(absent[:, None], 0, triangles)])
    for place in np.flatnonzero(~absent & (area_mm2 < _LEAST_TRIANGLE_MM2))[:_MOST_FAULTS]:
        yield Fault(
            path=pointer("sheet", "surface", "triangles", place),
            found="a triangle without area",
            expected="three corners that are not on one line",
        )


def _areas_mm2(corners: NDArray[np.float64]) -> NDArray[np.float64]:
    sides = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    return np.asarray(np.linalg.norm(sides, axis=1) / 2)


def _mesh_faults(vertices: NDArray[np.float64], triangles: NDArray[np.int64]) -> Iterator[Fault]:
    path = pointer("sheet", "surface", "triangles")
    import trimesh  # only a surface needs it, and it takes half a second to load

    mesh = trimesh.Trimesh(vertices, triangles, process=False, validate=False)
    edges, count = np.unique(mesh.edges_sorted, axis=0, return_counts=True)
    for one, other in edges[count > 2][:_MOST_FAULTS]:
        yield Fault(
            path=path,
            found=f"more than two triangles at the edge from vertex {one} to {other}",
            expected="a surface without branches: one or two triangles at each edge",
        )
    unused = np.setdiff1d(np.arange(len(vertices)), triangles)
    if len(unused):
        yield Fault(
            path=pointer("sheet", "surface", "vertices_mm", unused[0]),
            found=f"a vertex that no triangle uses ({len(unused)} of them)",
            expected="every vertex in a triangle",
        )
    elif mesh.body_count > 1:
        yield Fault(
            path=path,
            found=f"{mesh.body_count} pieces that share no vertex",
            expected="one connected surface",
            remedy="merge vertices that lie at the same place",
        )
