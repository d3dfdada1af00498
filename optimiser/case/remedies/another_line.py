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
_CLEAR_SHARE = 0.25
"""Of the width of a bay: what other lines keep off the way across it, and off a line in its middle."""
_OPPOSITE = -0.5
"""Cosine of the angle between the ways to the two lines of a bay, at most."""


@dataclass(frozen=True, kw_only=True)
class _Bay:
    """From the foot on its nearest line, to where a line would lie in its middle."""

    line: int
    width_mm: float
    shift_mm: NDArray[np.float64]
    """(2,), from that line to the middle of the bay."""


def line_midway(failing: Failing) -> Iterator[Proposal]:
    """A copy of the line beside the bay, in its middle; only on a flat sheet, where runs can be carried sideways.

    Of the bays the widest in which that lies on the part and clear of other lines.
    """
    sheet = failing.document.sheet
    if not isinstance(sheet, OutlineSheet) or failing.only_pots:
        return
    part = shapely.union_all([shapely.Polygon(one.border_mm, one.holes_mm) for one in sheet.outlines])
    room = part.buffer(-_FROM_EDGE_MM)
    lying = shapely.union_all([_run(one) for line in failing.document.feed_lines for one in line.sections])
    for bay in _widest_first(failing):
        model = failing.document.feed_lines[bay.line]
        sections = [moved for one in model.sections if (moved := _moved(one, bay.shift_mm, room)) is not None]
        new = [shapely.LineString(one["run_mm"]) for one in sections]
        if new and all(one.distance(lying) >= _CLEAR_SHARE * bay.width_mm for one in new):
            break
    else:
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


def _widest_first(failing: Failing) -> list[_Bay]:
    """One for each two lines that lie across from each other, or line and edge, where they are furthest apart.

    Over all cells: from the nearest line to the one across, with no other in between, or to the cell itself where none
    lies across.
    """
    lines = [(k, line) for k, line in enumerate(failing.document.feed_lines) if line.use != "forbidden"]
    if not lines:
        return []
    network = failing.result.scenes.full
    cells = mm_from_m(1) * np.column_stack([network.x_m, network.y_m])[: network.cell_count]
    runs = [shapely.union_all([_run(one) for one in line.sections]) for _, line in lines]
    feet = np.stack([_feet(run, cells) for run in runs])
    ways = feet - cells
    distances = np.hypot(ways[..., 0], ways[..., 1])
    rows = np.arange(len(cells))
    nearest = np.argmin(distances, axis=0)
    way, near_mm = ways[nearest, rows], distances[nearest, rows]
    cosines = (ways * way).sum(axis=2) / np.maximum(distances * near_mm, 1e-9)
    across_mm = np.where(cosines <= _OPPOSITE, distances, np.inf)
    other = np.argmin(across_mm, axis=0)
    inside = np.isfinite(across_mm[other, rows])
    width_mm = np.round(near_mm + np.where(inside, across_mm[other, rows], 0.0), 3)
    sides = np.column_stack([nearest, np.where(inside, other, -1)])
    across = shapely.linestrings(np.stack([feet[nearest, rows], feet[other, rows]], axis=1))
    beside_mm = np.array(
        [np.where((sides == k).any(axis=1), np.inf, shapely.distance(across, run)) for k, run in enumerate(runs)]
    )
    is_bay = ~inside | (beside_mm.min(axis=0) >= _CLEAR_SHARE * width_mm)
    bays = []
    for pair in np.unique(sides[is_bay], axis=0):
        cell = max(np.flatnonzero(is_bay & (sides == pair).all(axis=1)), key=lambda one: (width_mm[one], -one))
        end = feet[other[cell], cell] if inside[cell] else cells[cell]
        shift_mm = (end - feet[nearest[cell], cell]) / 2
        bays.append(_Bay(line=lines[int(pair[0])][0], width_mm=float(width_mm[cell]), shift_mm=shift_mm))
    return sorted(bays, key=lambda bay: -bay.width_mm)


def _run(section: SectionDocument) -> shapely.LineString:
    return shapely.LineString([corner[:2] for corner in section.run_mm])


def _feet(run: shapely.Geometry, cells: NDArray[np.float64]) -> NDArray[np.float64]:
    """Nearest point of the line for each cell, (cells, 2)."""
    shortest = shapely.shortest_line(run, shapely.points(cells))
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
