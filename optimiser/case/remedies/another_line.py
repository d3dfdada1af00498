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
from optimiser.case.remedies.ladder import Ladder
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


@dataclass(frozen=True, kw_only=True)
class _New:
    """A copy of a line, carried sideways."""

    model: FeedLineDocument
    sections: list[dict[str, Any]]
    beside_mm: float
    bay_mm: float
    midway: bool

    @property
    def run(self) -> shapely.Geometry:
        return shapely.union_all([shapely.LineString(one["run_mm"]) for one in self.sections])

    def said(self, name: str) -> str:
        where = f"{'midway ' if self.midway else ''}in a bay of {self.bay_mm:.0f} mm"
        return f"{name}, {self.beside_mm:.0f} mm beside line {self.model.name}, {where}"


def line_midway(failing: Failing) -> Iterator[Ladder]:
    """A copy of the line beside the bay, in its middle; only on a flat sheet, where runs can be carried sideways.

    Of the bays the widest in which that lies on the part and clear of other lines. Where time fails, and one line more
    will not do, two.
    """
    sheet = failing.document.sheet
    if not isinstance(sheet, OutlineSheet) or failing.only_pots:
        return
    part = shapely.union_all([shapely.Polygon(one.border_mm, one.holes_mm) for one in sheet.outlines])
    room = part.buffer(-_FROM_EDGE_MM)
    lying = shapely.union_all([_run(one) for line in failing.document.feed_lines for one in line.sections])
    midway = ((bay, _carried(failing, bay, 1.0, room, lying)) for bay in _widest_first(failing))
    fitting = [(bay, new) for bay, new in midway if new is not None]
    if not fitting:
        return
    bay, one = fitting[0]
    rungs = [_proposal(failing, [one])]
    if failing.late and (two := _two(failing, bay, one, fitting[1:], room, lying)):
        rungs.append(_proposal(failing, two))
    yield Ladder(rungs=tuple(rungs), best=len(rungs) - 1)


def _two(
    failing: Failing,
    bay: _Bay,
    one: _New,
    others: list[tuple[_Bay, _New]],
    room: shapely.Geometry,
    lying: shapely.Geometry,
) -> list[_New]:
    """Thirds of the widest bay, or the middle of it and of the next; what leaves the narrower one as the widest."""
    apart = [(other, new) for other, new in others if new.run.distance(one.run) >= _CLEAR_SHARE * other.width_mm]
    next_mm = apart[0][0].width_mm if apart else 0.0
    thirds = [new for share in (2 / 3, 4 / 3) if (new := _carried(failing, bay, share, room, lying)) is not None]
    if len(thirds) == 2 and max(bay.width_mm / 3, next_mm) <= max(bay.width_mm, next_mm) / 2:
        return thirds
    return [one, apart[0][1]] if apart else []


def _carried(
    failing: Failing, bay: _Bay, share: float, room: shapely.Geometry, lying: shapely.Geometry
) -> _New | None:
    """By this share of the way to the middle of the bay; None where it would not lie on the part, clear of others."""
    model, shift_mm = failing.document.feed_lines[bay.line], share * bay.shift_mm
    sections = [moved for one in model.sections if (moved := _moved(one, shift_mm, room)) is not None]
    runs = [shapely.LineString(one["run_mm"]) for one in sections]
    if not runs or any(one.distance(lying) < _CLEAR_SHARE * bay.width_mm for one in runs):
        return None
    return _New(
        model=model,
        sections=sections,
        beside_mm=float(np.hypot(*shift_mm)),
        bay_mm=bay.width_mm,
        midway=share == 1.0,
    )


def _proposal(failing: Failing, lines: list[_New]) -> Proposal:
    count = len(failing.document.feed_lines)
    named = list(zip(free_names(failing.document, "N", len(lines)), lines, strict=True))
    many = "one feed line more" if len(lines) == 1 else "two feed lines more"
    return Proposal(
        effort=Effort.LINE if len(lines) == 1 else Effort.LINES,
        change=f"{many}, {'; '.join(one.said(name) for name, one in named)}",
        edits=tuple(
            Edit(
                keys=("feed_lines", count + k),
                value={
                    **one.model.model_dump(mode="json"),
                    "name": name,
                    "use": "candidate",
                    "sections": _named(one.sections, one.model),
                },
            )
            for k, (name, one) in enumerate(named)
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
