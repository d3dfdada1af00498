"""What is drawn on a piece of the map: greys, isochrones, runs, patches, locks, last place."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Polygon

from optimiser.case.map_document import MapArea
from optimiser.case.plan_document import LockedRegion, PlanDocument
from optimiser.run_sheet.headline import is_verified
from optimiser.run_sheet.ink import BLACK
from optimiser.run_sheet.isochrones import levels_min, wet_field
from optimiser.run_sheet.map_edges import draw_edges
from optimiser.run_sheet.map_field import draw_outlines, number_lines, shade
from optimiser.run_sheet.map_pen import SMALL_PT, Pen, whole_name
from optimiser.run_sheet.map_pieces import Piece
from optimiser.run_sheet.map_room import Box, Point, text_box
from optimiser.run_sheet.map_runs import draw_discs, draw_names, stroke_track
from optimiser.run_sheet.map_varied import varied_locks
from optimiser.run_sheet.reasons import litres
from optimiser.run_sheet.wording import is_short, minutes

_NEAR_PT = 40.0
"""Places of locked air that lie so close on the page bear one mark."""
_MOST_OF_RUN = 0.25
"""A name that is wider than this share of a border would hide the border."""


@dataclass(frozen=True, kw_only=True)
class _Note:
    """A mark at a place, with words."""

    at_mm: Point
    marker: str
    size_pt: float
    says: str


class Marks:
    """Draws one plan on its pieces; what is dear to compute is computed once."""

    def __init__(self, plan: PlanDocument, pieces: list[Piece]) -> None:
        self._plan, self._pieces = plan, pieces
        self._field = wet_field(plan.map)

    def draw(self, axes: Axes, piece: Piece) -> list[str]:
        """Everything that shows in this piece, from the ground up; names that found no room, each with its letter."""
        window = piece.window_mm
        axes.set_xlim(window.x0, window.x1)
        axes.set_ylim(window.y0, window.y1)
        axes.set_axis_off()
        pen = Pen(axes, piece)
        draw_outlines(axes, self._plan.map.outlines)
        draw_edges(pen)
        if self._field is not None:
            shade(axes, self._field, levels_min(self._field))
        # A plan that may not be used gives no orders.
        runs, numbered = self._plan.map.runs, is_verified(self._plan)
        discs = draw_discs(pen, runs, self._pieces, numbered=numbered)
        for track in self._plan.map.race_tracks:
            stroke_track(pen, track)
        varied = _varied_notes(self._plan, _NEAR_PT / pen.pt_per_mm)
        notes = [*map(_lock_note, self._plan.locked), *varied, *self._last_note()]
        for note in notes:
            pen.mark(note.at_mm, note.marker, note.size_pt)
        draw_names(pen, runs, self._pieces, discs, numbered=numbered)
        for note in notes:
            pen.explain(note.at_mm, note.says)
        for area in self._plan.map.areas:
            _name_along(pen, area.name, [*area.border_mm, area.border_mm[0]])
            _edge(pen, area)
        for track in self._plan.map.race_tracks:
            _name_along(pen, track.name, track.run_mm)
        if self._field is not None:
            number_lines(pen, self._field, levels_min(self._field)[1:-1], unit="min")
        return pen.tags

    def _last_note(self) -> list[_Note]:
        last, data = last_cell(self._plan), self._plan.map
        if last is None:
            return []
        minute = minutes(data.wet_s[last] or 0.0, short=is_short(self._plan.wet_out_s), rounded=math.ceil)
        spot = (data.x_mm[last], data.y_mm[last])
        return [_Note(at_mm=spot, marker="^", size_pt=18, says=f"last to wet, min {minute}")]


def last_cell(plan: PlanDocument) -> int | None:
    """The cell that is wet last; none where some of the part stays dry."""
    times = [-1.0 if t is None else t for t in plan.map.wet_s]
    return None if not times or min(times) < 0 else int(np.argmax(times))


def _lock_note(region: LockedRegion) -> _Note:
    at_mm = (region.x_mm, region.y_mm)
    if region.fails:
        return _Note(at_mm=at_mm, marker="X", size_pt=18, says=f"air locked, {litres(region.pore_litres)}")
    return _Note(at_mm=at_mm, marker="X", size_pt=12, says=f"may trap air, {region.area_cm2:.0f} cm²")


def _varied_notes(plan: PlanDocument, near_mm: float) -> list[_Note]:
    """Where air was locked in the played variations, and in how many."""
    of = plan.robustness.variations if plan.robustness is not None else 0
    return [
        _Note(at_mm=one.at_mm, marker="D", size_pt=9, says=f"air in {one.variations} of {of}")
        for one in varied_locks(plan, near_mm)
    ]


def _edge(pen: Pen, area: MapArea) -> None:
    """A dotted border."""
    edge = Polygon(area.border_mm, closed=True, fill=False, linestyle=":", linewidth=2.2, edgecolor=BLACK, zorder=3)
    pen.axes.add_patch(edge)


def _name_along(pen: Pen, text: str, run_mm: list[Point]) -> None:
    """A name on a border or a gap that is long enough for it and has room, else a letter there."""
    name, size = whole_name(text, SMALL_PT)
    words = text_box(name, size)
    spots = pen.shown_along(run_mm)
    boxes = [Box(x=x, y=y, width=words.width, height=words.height) for x, y in spots]
    box = pen.room.first_free(boxes) if words.width <= _MOST_OF_RUN * pen.length_pt(run_mm) else None
    if box is None and pen.tag(spots, text):
        return
    box = box or pen.room.least_crowded(boxes)
    if box is not None:
        pen.write(name, box, size, zorder=6)
