"""A drawing so crowded that laying its shapes on one another would take minutes and gigabytes: refused before."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from optimiser.case.case_document import CaseDocument
from optimiser.case.layout_document import OutlineSheet
from optimiser.case.pointer import pointer
from optimiser.errors import Fault

_MOST_SHEET_CORNERS = 50_000
"""A corner every few millimetres all round the largest part."""
_MOST_MEETINGS = 250_000
"""Pairs of edges that may cross, neighbours aside: each that does takes a kilobyte and some microseconds."""
_OWN_MEETINGS = 3
"""An edge meets itself and its two neighbours."""

Corners = Sequence[tuple[float, ...]]


def crowding_faults(document: CaseDocument) -> Iterator[Fault]:
    """Too many corners of the sheet, or too many edges of borders and runs near each other."""
    outlines = document.sheet.outlines if isinstance(document.sheet, OutlineSheet) else ()
    sheet = [ring for outline in outlines for ring in (outline.border_mm, *outline.holes_mm)]
    corners = _corners(sheet)
    if corners > _MOST_SHEET_CORNERS:
        yield Fault(
            path=pointer("sheet", "outlines"),
            found=f"{corners} corners of outlines and holes",
            expected=f"at most {_MOST_SHEET_CORNERS} corners in all",
            remedy="leave out corners that stand closer than a few millimetres",
        )
        return
    borders = [*sheet, *(area.border_mm for area in document.areas if area.border_mm is not None)]
    if _meet_too_often(borders, list(_runs_on_sheet(document))):
        yield Fault(
            path="",
            found=f"edges of borders and runs that come over each other more than {_MOST_MEETINGS} times",
            expected="borders and runs of a part, which seldom cross",
            remedy="leave out corners, areas or lines that are not needed",
        )


def _runs_on_sheet(document: CaseDocument) -> Iterator[Corners]:
    if isinstance(document.sheet, OutlineSheet):
        yield from (section.run_mm for line in document.feed_lines for section in line.sections)
        yield from (vent.run_mm for vent in document.vents)
        yield from (track.run_mm for track in document.race_tracks)
        yield from (gap.run_mm for gap in (document.process.scatter.may_race if document.process.scatter else ()))


def _corners(lines: Iterable[Corners]) -> int:
    return sum(map(len, lines))


def _edges(lines: Iterable[Corners]) -> NDArray[np.float64]:
    """Ends of each edge, (n, 2, 2)."""
    flat = (np.array([corner[:2] for corner in line]) for line in lines)
    return np.concatenate([np.empty((0, 2, 2)), *(np.stack([line[:-1], line[1:]], axis=1) for line in flat)])


def _meet_too_often(borders: Sequence[Corners], runs: Sequence[Corners]) -> bool:
    """Whether boxes round the edges meet a box round an edge of a border more often than they may."""
    if _corners(borders) * _corners([*borders, *runs]) <= _MOST_MEETINGS:
        return False
    tree = shapely.STRtree(_distinct(_edges((*ring, ring[0]) for ring in borders)))
    asked = np.concatenate([tree.geometries, _distinct(_edges(runs))])
    most = _MOST_MEETINGS + _OWN_MEETINGS * len(asked)
    meetings = 0
    at_once = 1 + _MOST_MEETINGS // len(tree)  # so that no answer is much longer than the limit
    for start in range(0, len(asked), at_once):
        meetings += tree.query(asked[start : start + at_once]).shape[1]
        if meetings > most:
            return True
    return False


def _distinct(edges: NDArray[np.float64]) -> NDArray[np.object_]:
    """The edges as lines, each once though it be drawn several times, as where areas follow the outline."""
    one_way = np.where(edges[:, :1, :1] > edges[:, 1:, :1], edges[:, ::-1], edges)
    lines: NDArray[np.object_] = shapely.linestrings(np.unique(one_way, axis=0))
    return lines
