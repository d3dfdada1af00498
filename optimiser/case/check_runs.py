"""Feed lines and vents: on the part, of some length, and with both on every piece of it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from optimiser.case.case_document import CaseDocument
from optimiser.case.check_outlines import say_place
from optimiser.case.layout_document import OutlineSheet, SurfaceDocument
from optimiser.case.pointer import pointer
from optimiser.errors import Fault

_SHORTEST_MM = 50.0
"""A shorter line was written in metres."""
_OFF_SURFACE_MM = 10.0
"""A corner of a run may lie this far off the triangles, which cut across curves."""
_NEAR_VERTICES = 12

Point = tuple[float, ...]
Run = tuple[Point, ...]


def run_faults(document: CaseDocument) -> Iterator[Fault]:
    """What is wrong with a run whatever it lies on."""
    dimensions, at = 2, "[x, y] on a flat sheet"
    if not isinstance(document.sheet, OutlineSheet):
        dimensions, at = 3, "[x, y, z] on a surface"
    for path, run in _runs(document):
        crooked = [place for place, point in enumerate(run) if len(point) != dimensions]
        for place in crooked:
            found = f"{len(run[place])} coordinates"
            yield Fault(path=path + pointer(place), found=found, expected=at)
        if not crooked:
            yield from _length_faults(path, run)
    if all(line.use == "forbidden" for line in document.feed_lines):
        found = "only lines whose use is forbidden"
        yield Fault(path=pointer("feed_lines"), found=found, expected="a line that may open")


def runs_off_sheet(document: CaseDocument, near: shapely.Geometry) -> Iterator[Fault]:
    """Runs that leave the widened sheet, and pieces of it without line or vent. Outlines must be valid."""
    for path, run in _runs(document):
        flat = _flat(run)
        off = np.flatnonzero(~shapely.intersects_xy(near, flat))
        for place in off:
            found = f"{say_place(run[place][:2])}, off the part"
            yield Fault(path=path + pointer(place), found=found, expected="a place on the sheet or its border")
        if not len(off) and not near.covers(_shape(run)):
            found = "a run that leaves the part between two corners"
            yield Fault(path=path, found=found, expected="a run that stays on the sheet")
    yield from _piece_faults(document, list(shapely.get_parts(near)))


def runs_off_surface(document: CaseDocument, surface: SurfaceDocument) -> Iterator[Fault]:
    """Corners of runs that do not lie on the triangles. The mesh must be without fault."""
    distance_mm = _distance_to(surface)
    for path, run in _runs(document):
        for place, point in enumerate(run):
            if len(point) == 3 and (off_mm := distance_mm(point)) > _OFF_SURFACE_MM:
                yield Fault(
                    path=path + pointer(place),
                    found=f"{say_place(point)}, {off_mm:.3g} mm off the surface",
                    expected=f"a place within {_OFF_SURFACE_MM:g} mm of the surface",
                )


def _runs(document: CaseDocument) -> Iterator[tuple[str, Run]]:
    for i, line in enumerate(document.feed_lines):
        for j, section in enumerate(line.sections):
            yield pointer("feed_lines", i, "sections", j, "run_mm"), section.run_mm
    for i, vent in enumerate(document.vents):
        yield pointer("vents", i, "run_mm"), vent.run_mm


def _length_faults(path: str, run: Run) -> Iterator[Fault]:
    for place, (one, other) in enumerate(pairwise(run), start=1):
        if one == other:
            found = "the same corner as the one before"
            yield Fault(path=path + pointer(place), found=found, expected="corners apart from each other")
    length_mm = sum(math.dist(one, other) for one, other in pairwise(run))
    if len(run) > 1 and length_mm < _SHORTEST_MM:
        found, expected = f"a run {length_mm:g} mm long", f"a run of at least {_SHORTEST_MM:g} mm"
        yield Fault(path=path, found=found, expected=expected, remedy="write millimetres, not metres")


def _piece_faults(document: CaseDocument, pieces: list[shapely.Geometry]) -> Iterator[Fault]:
    sections = [section for line in document.feed_lines if line.use != "forbidden" for section in line.sections]
    lines = shapely.STRtree([_shape(section.run_mm) for section in sections])
    vents = shapely.STRtree([_shape(vent.run_mm) for vent in document.vents])
    for piece in pieces:
        spot = piece.representative_point()
        where = f"on the piece of the part round {say_place((round(spot.x), round(spot.y)))}"
        for field, noun, runs in (("feed_lines", "feed line that may open", lines), ("vents", "vent", vents)):
            if len(runs) and not len(runs.query(piece, predicate="intersects")):
                expected = f"a {noun} on each piece of the part that touches no other"
                yield Fault(path=pointer(field), found=f"no {noun} {where}", expected=expected)


def _flat(run: Run) -> NDArray[np.float64]:
    return np.array([point[:2] for point in run])


def _shape(run: Run) -> shapely.Geometry:
    flat = _flat(run)
    return shapely.LineString(flat) if len(flat) > 1 else shapely.Point(flat[0])


def _distance_to(surface: SurfaceDocument) -> Callable[[Point], float]:
    """Distance from a point to the triangles round the vertices next to it."""
    vertices, triangles = np.array(surface.vertices_mm), np.array(surface.triangles)
    tree = cKDTree(vertices)
    at_vertex: list[list[int]] = [[] for _ in vertices]
    for place, corners in enumerate(surface.triangles):
        for corner in corners:
            at_vertex[corner].append(place)

    def distance_mm(point: Point) -> float:
        _, near = tree.query(point, k=min(_NEAR_VERTICES, len(vertices)))
        around = triangles[sorted({place for vertex in near for place in at_vertex[vertex]})]
        points = np.tile(np.array(point), (len(around), 1))
        import trimesh  # only a surface needs it, and it takes half a second to load

        closest = trimesh.triangles.closest_point(vertices[around], points)  # type: ignore[no-untyped-call]
        return float(np.linalg.norm(closest - points, axis=1).min())

    return distance_mm
