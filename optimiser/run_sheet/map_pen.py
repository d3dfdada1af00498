"""Writes words and marks on one piece of the map and keeps the words apart."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterable
from string import ascii_uppercase
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from numpy.typing import NDArray

from optimiser.run_sheet.ink import BLACK, WHITE
from optimiser.run_sheet.map_pieces import Piece
from optimiser.run_sheet.map_room import POINTS_PER_INCH, Box, MapRoom, Point, text_box
from optimiser.run_sheet.typeface import BOLD, PLAIN, font_file, printable

LABEL_PT, MINUTE_PT, SMALL_PT = 11.0, 10.0, 8.5
LINE_LETTERS = 18
"""Longer names go on in a new line."""
MOST_LINES = 3
"""Names of more lines are set smaller."""
LEAST_SHOWN = 10
"""Of 101 points along a run: where a piece shows fewer, the run has no words there."""
TAGS_IN = 0.5
"""Height that names of tags take over a piece."""
_STROKE_PT = 6.0
"""Of a stroke with its rim; words are wider and higher."""
_TAG_OFF_PT = (0.0, 14.0, 26.0, 38.0)
"""How far from what it names a tag may stand."""
_GROUND: dict[str, Any] = {"boxstyle": "round,pad=0.12", "facecolor": WHITE, "edgecolor": "none"}
_FRAMED: dict[str, Any] = {"boxstyle": "square,pad=0.12", "facecolor": WHITE, "edgecolor": BLACK, "linewidth": 0.8}


class Pen:
    """One piece of the map, measured in mm of the part and in points of the page."""

    def __init__(self, axes: Axes, piece: Piece) -> None:
        self.axes, self.piece, self.window = axes, piece, piece.window_mm
        self.pt_per_mm = piece.scale_in_per_mm * POINTS_PER_INCH
        self.room = MapRoom(
            width_pt=piece.page_in.width * POINTS_PER_INCH,
            height_pt=piece.page_in.height * POINTS_PER_INCH,
            above_pt=max(piece.above_in - TAGS_IN, 0.0) * POINTS_PER_INCH,
        )
        self.tags: list[str] = []
        """Letters that stand on the piece, each with the name it stands for."""

    def page(self, at_mm: Point | NDArray[np.float64]) -> Point:
        """Points on the piece, from its lower left corner."""
        return (at_mm[0] - self.window.x0) * self.pt_per_mm, (at_mm[1] - self.window.y0) * self.pt_per_mm

    def part(self, x_pt: float, y_pt: float) -> Point:
        """The place on the part under a point of the page."""
        return self.window.x0 + x_pt / self.pt_per_mm, self.window.y0 + y_pt / self.pt_per_mm

    def shown_along(self, run_mm: list[Point]) -> list[Point]:
        """Points of a run that this piece shows, in page points, from their middle outwards."""
        shown = [point for point in points_along(run_mm) if self.window.holds((point[0], point[1]))]
        if len(shown) < min(LEAST_SHOWN, len(run_mm)):
            return []
        middle = shown[len(shown) // 2]
        return [self.page(p) for p in sorted(shown, key=lambda p: float(np.linalg.norm(p - middle)))]

    def keep_words_off(self, run_mm: list[Point]) -> None:
        """Words stay off a run where they can, however large it is drawn."""
        steps = max(math.ceil(self.length_pt(run_mm) / _STROKE_PT), 1)
        for at_mm in points_along(run_mm, steps=steps):
            if self.window.holds((at_mm[0], at_mm[1])):
                x, y = self.page(at_mm)
                self.room.avoid(Box(x=x, y=y, width=_STROKE_PT, height=_STROKE_PT))

    def length_pt(self, run_mm: list[Point]) -> float:
        """Of a run, shown here or not."""
        return self.pt_per_mm * sum(map(math.dist, run_mm, run_mm[1:]))

    def write(
        self, text: str, box: Box, size: float, *, zorder: float, bold: bool = True, framed: bool = False
    ) -> None:
        """Words on a white ground in a place that is then taken."""
        self.room.take(box)
        self.axes.text(
            *self.part(box.x, box.y),
            text,
            ha="center",
            va="center",
            font=font_file(BOLD if bold else PLAIN),
            fontsize=size,
            linespacing=1.1,
            color=BLACK,
            zorder=zorder,
            bbox=_FRAMED if framed else _GROUND,
            parse_math=False,
        )

    def mark(self, at_mm: Point, marker: str, size: float) -> None:
        """A mark, under the discs, in a place that is then taken."""
        if self.window.holds(at_mm):
            x, y = self.page(at_mm)
            self.room.take(Box(x=x, y=y, width=size, height=size))
            self.axes.plot(
                *at_mm, marker, color=BLACK, markeredgecolor=WHITE, markersize=size, zorder=7.5, clip_on=False
            )

    def explain(self, at_mm: Point, text: str) -> None:
        """Words beside a mark, joined to it by a hair line."""
        if not self.window.holds(at_mm):
            return
        words = text_box(text, MINUTE_PT)
        box = self.room.least_crowded(_beside(*self.page(at_mm), words), off_strokes=True)
        if box is not None:
            self.join(self.page(at_mm), box)
            self.write(text, box, MINUTE_PT, zorder=10)

    def tag(self, spots: list[Point], name: str) -> bool:
        """A letter on one of these spots, in points of the page, or beside them and joined by a hair line, for a name
        that is told over the piece; False where there is no room for that."""
        if not spots or self.piece.above_in < TAGS_IN or len(self.tags) == len(ascii_uppercase):
            return False
        letter = ascii_uppercase[len(self.tags)]
        words = text_box(letter, SMALL_PT)
        around = [(spot, _outwards(spots, spot, far)) for far in _TAG_OFF_PT for spot in spots]
        boxes = [Box(x=x, y=y, width=words.width, height=words.height) for _, (x, y) in around]
        box = self.room.first_free(boxes) or boxes[0]
        if box not in boxes[: len(spots)]:
            self.join(around[boxes.index(box)][0], box)
        self.write(letter, box, SMALL_PT, zorder=7, framed=True)
        self.tags.append(f"{letter}: {printable(name)}")
        return True

    def join(self, spot: Point, box: Box) -> None:
        """A hair line from a spot, in points of the page, to words that stand off it."""
        ends = zip(self.part(*spot), self.part(box.x, box.y), strict=True)
        self.axes.plot(*ends, color=BLACK, linewidth=1, zorder=6, clip_on=False)


def points_along(run_mm: list[Point], *, steps: int = 100) -> NDArray[np.float64]:
    """Points evenly along a run with both its ends, (n, 2) in mm; one where the run is a point."""
    run = np.array(run_mm, dtype=float)
    reach = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(run, axis=0), axis=1))])
    if reach[-1] == 0:
        return run[:1]
    at = np.linspace(0.0, reach[-1], steps + 1)
    return np.column_stack([np.interp(at, reach, run[:, i]) for i in (0, 1)])


def whole_name(text: str, size_pt: float, *, letters: int = LINE_LETTERS) -> tuple[str, float]:
    """A name that is never cut off: on as many lines as it needs, smaller where they are many."""
    lines = textwrap.wrap(printable(text), letters) or [""]
    return "\n".join(lines), size_pt if len(lines) <= MOST_LINES else size_pt * MOST_LINES / len(lines)


def _outwards(spots: list[Point], spot: Point, far_pt: float) -> Point:
    """So far from one of the spots, away from the middle of all."""
    middle = np.mean(spots, axis=0)
    way = np.subtract(spot, middle)
    x, y = np.add(spot, way * far_pt / max(float(np.hypot(*way)), 1.0)).tolist()
    return x, y


def _beside(x: float, y: float, words: Box) -> Iterable[Box]:
    ways = [(side * (words.width / 2 + 14), 0.0) for side in (1, -1)]
    ways += [
        (side * (words.width / 2 + far), up)
        for far in (4, 30)
        for up in (-22, 22, -38, 38, -54, 54)
        for side in (1, -1)
    ]
    return (Box(x=x + dx, y=y + dy, width=words.width, height=words.height) for dx, dy in ways)
