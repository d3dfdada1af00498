"""Lines, vents and gaps on the map: strokes, numbered discs where the hoses join, and names."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

from optimiser.case.map_document import MapRaceTrack, MapRun
from optimiser.case.shown_label import shown_label
from optimiser.run_sheet.ink import BLACK, WHITE
from optimiser.run_sheet.map_pen import LABEL_PT, SMALL_PT, Pen, points_along, whole_name
from optimiser.run_sheet.map_pieces import Piece, home_of
from optimiser.run_sheet.map_room import Box, Point, text_box
from optimiser.run_sheet.typeface import BOLD, font_file
from optimiser.run_sheet.upside_down import reads_upside_down

DISC_PT = 19.0
_DISC_ROOM_PT = DISC_PT + 2.0
_OUTLET_PT = 9.0
_GAP_PT = 0.5
_AGAIN_LETTERS = 34


def place_of(run: MapRun) -> Point:
    """Where the hose joins; the middle of the run for a vent, and where a line's inlet is not known."""
    if run.inlet_mm is not None:
        return run.inlet_mm
    points = points_along(run.run_mm)
    x, y = points[len(points) // 2].tolist()
    return x, y


Discs = list[tuple[MapRun, Box]]
"""The runs whose place is on a piece, each with the box of its disc, empty where it has none."""


def draw_discs(pen: Pen, runs: list[MapRun], pieces: list[Piece], *, numbered: bool) -> Discs:
    """Strokes of all runs, and the discs of those whose place is on this piece. Before all words."""
    for run in runs:
        _stroke(pen, run)
        pen.keep_words_off(run.run_mm)
    for run in runs:
        _outlet(pen, run)
    here = [run for run in runs if home_of(pieces, place_of(run)) == pen.piece]
    return [(run, _disc(pen, run) if numbered and run.order is not None else _no_disc(pen, run)) for run in here]


def draw_names(pen: Pen, runs: list[MapRun], pieces: list[Piece], discs: Discs, *, numbered: bool) -> None:
    """In full beside its disc, and small on the other pieces that show the run."""
    for run, disc in discs:
        _name(pen, run, disc, numbered=numbered)
    here = [run for run, _ in discs]
    for run in runs:
        if run not in here:
            _name_again(pen, run, home_of(pieces, place_of(run)).number)


def _outlet(pen: Pen, run: MapRun) -> None:
    """A small white square where a vent's hose joins; its ring stands elsewhere."""
    if run.outlet_mm is None or not pen.window.holds(run.outlet_mm):
        return
    x, y = pen.page(run.outlet_mm)
    pen.room.take(Box(x=x, y=y, width=_OUTLET_PT + 2, height=_OUTLET_PT + 2))
    pen.axes.plot(
        *run.outlet_mm,
        "s",
        markersize=_OUTLET_PT,
        markerfacecolor=WHITE,
        markeredgecolor=BLACK,
        markeredgewidth=1.6,
        zorder=7,
        clip_on=False,
    )


def _stroke(pen: Pen, run: MapRun) -> None:
    """A run with a white rim; one that is not used is thinner."""
    xs, ys = [x for x, _ in run.run_mm], [y for _, y in run.run_mm]
    dashes: Any = (0, (2.2, 1.2)) if run.kind == "vent" else "-"
    width = 1.2 if run.order is None else 4.2 if run.kind == "vent" else 3.2
    marker = "s" if len(xs) == 1 else None
    pen.axes.plot(xs, ys, color=WHITE, linewidth=width + 2.5, zorder=3)
    pen.axes.plot(
        xs,
        ys,
        color=BLACK,
        linewidth=width,
        linestyle=dashes,
        dash_capstyle="butt",
        marker=marker,
        zorder=3.5,
    )


def stroke_track(pen: Pen, track: MapRaceTrack) -> None:
    """Two thin lines side by side: a gap, over the edge of the part if it lies there."""
    xs, ys = [x for x, _ in track.run_mm], [y for _, y in track.run_mm]
    for width, colour in ((6.4, WHITE), (4.6, BLACK), (2.6, WHITE)):
        pen.axes.plot(xs, ys, color=colour, linewidth=width, zorder=4.2, solid_capstyle="butt", clip_on=False)
    pen.keep_words_off(track.run_mm)


def _no_disc(pen: Pen, run: MapRun) -> Box:
    x, y = pen.page(place_of(run))
    return Box(x=x, y=y, width=0, height=0)


def _disc(pen: Pen, run: MapRun) -> Box:
    """A disc for a line, a ring for a vent, with its order.

    A ring may stand anywhere along its vent. A disc stands where the hose joins; only where another disc
    stands already does it move along its own line, with a stroke from its place.
    """
    x, y = pen.page(place_of(run))
    along = sorted(pen.shown_along(run.run_mm), key=lambda spot: math.dist(spot, (x, y)))
    spots = [Box(x=a, y=b, width=_DISC_ROOM_PT, height=_DISC_ROOM_PT) for a, b in [(x, y), *along]]
    box = next((spot for spot in spots if pen.room.is_free(spot)), spots[0])
    if box != spots[0] and run.kind == "line":
        ends = zip(pen.part(x, y), pen.part(box.x, box.y), strict=True)
        pen.axes.plot(*ends, "-o", color=BLACK, linewidth=5, markersize=8, zorder=7, clip_on=False)
    pen.room.take(box)
    _numbered(pen, run.kind, str(run.order), box)
    return box


def _numbered(pen: Pen, kind: str, order: str, box: Box) -> None:
    fill, ink = (BLACK, WHITE) if kind == "line" else (WHITE, BLACK)
    pen.axes.plot(
        *pen.part(box.x, box.y),
        "o",
        markersize=DISC_PT,
        markerfacecolor=fill,
        markeredgecolor=BLACK,
        markeredgewidth=2,
        zorder=8,
        clip_on=False,
    )
    lift = 1.2 if reads_upside_down(order) else 0.0
    pen.axes.text(
        *pen.part(box.x, box.y + lift),
        order,
        ha="center",
        va="center_baseline",
        font=font_file(BOLD),
        fontsize=LABEL_PT,
        color=ink,
        zorder=9,
    )
    if lift:
        reach, under = 0.33 * LABEL_PT * len(order), box.y - 0.5 * LABEL_PT
        ends = zip(pen.part(box.x - reach, under), pen.part(box.x + reach, under), strict=True)
        pen.axes.plot(*ends, color=ink, linewidth=1.4, solid_capstyle="butt", zorder=9, clip_on=False)


def _name(pen: Pen, run: MapRun, disc: Box, *, numbered: bool) -> None:
    """The name on the tap, beside its disc."""
    shut = " (stays shut)" if numbered and run.order is None and run.kind == "line" else ""
    name, size = whole_name(shown_label(run.label, run.kind) + shut, LABEL_PT)
    box = pen.room.least_crowded(_around(disc, text_box(name, size)))
    if box is not None:
        pen.write(name, box, size, zorder=7)


def _around(disc: Box, words: Box) -> Iterable[Box]:
    beside, over = (disc.width + words.width) / 2 + _GAP_PT, (disc.height + words.height) / 2 + _GAP_PT
    ways = [(0.0, 0.0)] if disc.width == 0 else []
    ways += [(beside, 0), (-beside, 0), (0, over), (0, -over)]
    ways += [(beside, over), (-beside, over), (beside, -over), (-beside, -over), (beside + 30, 0), (-beside - 30, 0)]
    return (Box(x=disc.x + dx, y=disc.y + dy, width=words.width, height=words.height) for dx, dy in ways)


def _name_again(pen: Pen, run: MapRun, piece_number: int) -> None:
    """Small and plain, where another piece shows the disc."""
    where = f"(tap on piece {piece_number})" if run.kind == "line" else "(same vent)"
    name, size = whole_name(f"{shown_label(run.label, run.kind)} {where}", SMALL_PT, letters=_AGAIN_LETTERS)
    words = text_box(name, size)
    spots = pen.shown_along(run.run_mm)
    box = pen.room.least_crowded(Box(x=x, y=y, width=words.width, height=words.height) for x, y in spots)
    if box is not None:
        pen.write(name, box, size, zorder=7, bold=False)
