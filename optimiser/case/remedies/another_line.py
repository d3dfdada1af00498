"""A feed line more, midway in the widest bay; the time to run a distance grows with its square."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from optimiser.case.layout_document import FeedLineDocument, OutlineSheet, SectionDocument
from optimiser.case.remedies.free_names import free_names
from optimiser.case.remedies.proposal import Edit, Effort, Failing, Proposal
from optimiser.units import mm_from_m

_FROM_EDGE_MM = 30.0
_SHORTEST_MM = 100.0
_OPPOSITE = -0.5
"""Cosine of the angle between the ways to the two lines of a bay, at most."""


@dataclass(frozen=True, kw_only=True)
class _Bay:
    """The widest: from the foot on its nearest line, to where a line would lie in its middle."""

    line: int
    width_mm: float
    shift_mm: NDArray[np.float64]
    """(2,), from that line to the middle of the bay."""


def line_midway(failing: Failing) -> Iterator[Proposal]:
    """A copy of the line beside the bay, in its middle; only on a flat sheet, where runs can be carried sideways."""
    sheet = failing.document.sheet
    if not isinstance(sheet, OutlineSheet):
        return
    bay = _widest(failing)
    if bay is None:
        return
    part = shapely.union_all([shapely.Polygon(one.border_mm, one.holes_mm) for one in sheet.outlines])
    room = part.buffer(-_FROM_EDGE_MM)
    model = failing.document.feed_lines[bay.line]
    sections = [moved for one in model.sections if (moved := _moved(one, bay.shift_mm, room)) is not None]
    if not sections:
        return
    (name,) = free_names(failing.document, "N", 1)
    yield Proposal(
        effort=Effort.LINE,
        change=f"one feed line more, {name}, {float(np.hypot(*bay.shift_mm)):.0f} mm beside line {model.name}, "
        f"midway in a bay of {bay.width_mm:.0f} mm",
        edits=(
            Edit(
                keys=("feed_lines", len(failing.document.feed_lines)),
                value={
                    **model.model_dump(mode="json"),
                    "name": name,
                    "use": "candidate",
                    "sections": _named(sections, model),
                },
            ),
        ),
    )


def _widest(failing: Failing) -> _Bay | None:
    """Over all cells: from the nearest line to the one across, or to the cell itself where none lies across."""
    lines = [(k, line) for k, line in enumerate(failing.document.feed_lines) if line.use != "forbidden"]
    if not lines:
        return None
    network = failing.result.scenes.full
    cells = mm_from_m(1) * np.column_stack([network.x_m, network.y_m])[: network.cell_count]
    feet = np.stack([_feet(line, cells) for _, line in lines])
    ways = feet - cells
    distances = np.hypot(ways[..., 0], ways[..., 1])
    rows = np.arange(len(cells))
    nearest = np.argmin(distances, axis=0)
    way, near_mm = ways[nearest, rows], distances[nearest, rows]
    cosines = (ways * way).sum(axis=2) / np.maximum(distances * near_mm, 1e-9)
    across_mm = np.where(cosines <= _OPPOSITE, distances, np.inf)
    other = np.argmin(across_mm, axis=0)
    inside = np.isfinite(across_mm[other, rows])
    width_mm = near_mm + np.where(inside, across_mm[other, rows], 0.0)
    cell = int(np.argmax(np.round(width_mm, 3)))
    start = feet[nearest[cell], cell]
    end = feet[other[cell], cell] if inside[cell] else cells[cell]
    return _Bay(line=lines[int(nearest[cell])][0], width_mm=float(width_mm[cell]), shift_mm=(end - start) / 2)


def _feet(line: FeedLineDocument, cells: NDArray[np.float64]) -> NDArray[np.float64]:
    """Nearest point of the line for each cell, (cells, 2)."""
    runs = shapely.union_all([shapely.LineString([corner[:2] for corner in one.run_mm]) for one in line.sections])
    shortest = shapely.shortest_line(runs, shapely.points(cells))
    return np.asarray(shapely.get_coordinates(shapely.get_point(shortest, 0)))


def _moved(section: SectionDocument, shift_mm: NDArray[np.float64], room: shapely.Geometry) -> dict[str, Any] | None:
    """The section carried sideways, as far as it lies on the part; None where hardly any of it does."""
    run = shapely.LineString(np.array([corner[:2] for corner in section.run_mm]) + shift_mm)
    pieces = [one for one in shapely.get_parts(run.intersection(room)) if isinstance(one, shapely.LineString)]
    longest = max(pieces, key=lambda piece: piece.length, default=None)
    if longest is None or longest.length < _SHORTEST_MM:
        return None
    corners = [[round(x, 1), round(y, 1)] for x, y in longest.coords]
    kept = [corners[0], *(corner for before, corner in pairwise(corners) if corner != before)]
    return {**section.model_dump(mode="json"), "run_mm": kept}


def _named(sections: list[dict[str, Any]], model: FeedLineDocument) -> list[dict[str, Any]]:
    """The one section that is left of several needs no name."""
    if len(sections) == 1 and len(model.sections) > 1:
        return [{**sections[0], "name": None}]
    return sections
