"""Feed lines, vents and race tracks: on the part, of some length, and the first two on every piece of it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import compress, pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from optimiser.case.case_document import CaseDocument
from optimiser.case.check_outlines import say_place
from optimiser.case.layout_document import OutlineSheet, SurfaceDocument
from optimiser.case.off_surface import SurfaceDistance
from optimiser.case.pointer import pointer
from optimiser.case.run_course import course_of
from optimiser.errors import Fault

_SHORTEST_MM = 50.0
"""A shorter line was written in metres."""
_OFF_SURFACE_MM = 10.0
"""A corner of a run may lie this far off the triangles, which cut across curves."""
_MOST_LOOKS = 2_000_000
"""From corners of runs at triangles, if all the corners were near the vertex with most triangles."""

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
    for i, vent in enumerate(document.vents):
        if vent.outlet is not None and vent.pot_hose_bore_mm is None:
            expected = "pot_hose_bore_mm beside it: without, the vent holds full vacuum all along"
            yield Fault(path=pointer("vents", i, "outlet"), found=f"{vent.outlet}", expected=expected)
    if all(line.use == "forbidden" for line in document.feed_lines):
        found = "only lines whose use is forbidden"
        yield Fault(path=pointer("feed_lines"), found=found, expected="a line that may open")


def runs_off_sheet(document: CaseDocument, near: shapely.Geometry) -> Iterator[Fault]:
    """Runs that leave the widened sheet, and pieces of it without line or vent. Outlines must be valid."""
    runs = list(_runs(document))
    shapes = [course_of(run) for _, run in runs]
    for place in np.flatnonzero(~shapely.covers(near, shapes)):
        yield from _off_sheet(*runs[place], near)
    yield from _piece_faults(document, list(shapely.get_parts(near)), shapes)


def _off_sheet(path: str, run: Run, near: shapely.Geometry) -> Iterator[Fault]:
    off = np.flatnonzero(~shapely.intersects_xy(near, _flat(run)))
    for place in off:
        found = f"{say_place(run[place][:2])}, off the part"
        yield Fault(path=path + pointer(place), found=found, expected="a place on the sheet or its border")
    if not len(off):
        found = "a run that leaves the part between two corners"
        yield Fault(path=path, found=found, expected="a run that stays on the sheet")


def runs_off_surface(document: CaseDocument, surface: SurfaceDocument) -> Iterator[Fault]:
    """Corners of runs that do not lie on the triangles. The mesh must be without fault."""
    distance = SurfaceDistance(np.array(surface.vertices_mm), np.array(surface.triangles))
    corners = [(path, place, point) for path, run in _runs(document) for place, point in enumerate(run)]
    corners = [corner for corner in corners if len(corner[2]) == 3]
    if distance.most_round_a_vertex * len(corners) > _MOST_LOOKS:
        yield Fault(
            path=pointer("sheet", "surface", "triangles"),
            found=f"{distance.most_round_a_vertex} triangles round one vertex, on a part with long runs",
            expected="a mesh with about six triangles round each vertex",
        )
        return
    distances_mm = distance.of(np.reshape([point for *_, point in corners], (-1, 3)), close=_OFF_SURFACE_MM)
    for off in np.flatnonzero(distances_mm > _OFF_SURFACE_MM):
        path, place, point = corners[off]
        yield Fault(
            path=path + pointer(place),
            found=f"{say_place(point)}, {distances_mm[off]:.3g} mm off the surface",
            expected=f"a place within {_OFF_SURFACE_MM:g} mm of the surface",
        )


def _runs(document: CaseDocument) -> Iterator[tuple[str, Run]]:
    for i, line in enumerate(document.feed_lines):
        for j, section in enumerate(line.sections):
            yield pointer("feed_lines", i, "sections", j, "run_mm"), section.run_mm
    for i, vent in enumerate(document.vents):
        yield pointer("vents", i, "run_mm"), vent.run_mm
    for i, track in enumerate(document.race_tracks):
        yield pointer("race_tracks", i, "run_mm"), track.run_mm
    for i, gap in enumerate(document.process.scatter.may_race if document.process.scatter else ()):
        yield pointer("process", "scatter", "may_race", i, "run_mm"), gap.run_mm


def _length_faults(path: str, run: Run) -> Iterator[Fault]:
    for place, (one, other) in enumerate(pairwise(run), start=1):
        if one == other:
            found = "the same corner as the one before"
            yield Fault(path=path + pointer(place), found=found, expected="corners apart from each other")
    length_mm = sum(math.dist(one, other) for one, other in pairwise(run))
    if len(run) > 1 and length_mm < _SHORTEST_MM:
        found, expected = f"a run {length_mm:g} mm long", f"a run of at least {_SHORTEST_MM:g} mm"
        yield Fault(path=path, found=found, expected=expected, remedy="write millimetres, not metres")


def _piece_faults(
    document: CaseDocument, pieces: list[shapely.Geometry], shapes: list[shapely.Geometry]
) -> Iterator[Fault]:
    """Shapes: of all runs, in their order."""
    may_open = [line.use != "forbidden" for line in document.feed_lines for _ in line.sections]
    lines = shapely.STRtree(list(compress(shapes, may_open)))
    vents = shapely.STRtree(shapes[len(may_open) : len(may_open) + len(document.vents)])
    for piece in pieces:
        spot = piece.representative_point()
        where = f"on the piece of the part round {say_place((round(spot.x), round(spot.y)))}"
        for field, noun, runs in (("feed_lines", "feed line that may open", lines), ("vents", "vent", vents)):
            if len(runs) and not len(runs.query(piece, predicate="intersects")):
                expected = f"a {noun} on each piece of the part that touches no other"
                yield Fault(path=pointer(field), found=f"no {noun} {where}", expected=expected)


def _flat(run: Run) -> NDArray[np.float64]:
    return np.array([point[:2] for point in run])
