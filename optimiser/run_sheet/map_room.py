"""Room for words on the map: boxes that are taken, and the best place for the next one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

POINTS_PER_INCH = 72.0
WIDTH_OF_A_LETTER = 0.72
"""Of its height, for the bold typeface; on the wide side."""

OVER_THE_EDGE_PT = 6.0
"""How far words may hang over the edge of a piece."""
STROKE_WEIGHT = 0.1
"""Of an overlap with a line, against one with words."""

Point = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Box:
    """A box round a middle; all in points of the page."""

    x: float
    y: float
    width: float
    height: float

    def overlap(self, other: Box) -> float:
        """Shared area."""
        wide = (self.width + other.width) / 2 - abs(self.x - other.x)
        if wide <= 0:
            return 0.0
        high = (self.height + other.height) / 2 - abs(self.y - other.y)
        return min(wide, self.width, other.width) * min(max(high, 0.0), self.height, other.height)

    def brought_in(self, width: float, height: float, above: float) -> Box:
        """The box moved onto a sheet from (0, 0) to (width, height) or a little over its edge, over its upper one by so
        much, no farther than needed; onto its middle where it is too large."""
        return replace(
            self,
            x=_between(self.x, self.width, width),
            y=_between(self.y, self.height, height, max(above, OVER_THE_EDGE_PT)),
        )


class MapRoom:
    """Taken boxes of one piece of the map, and of the empty room over it."""

    def __init__(self, *, width_pt: float, height_pt: float, above_pt: float = 0.0) -> None:
        self._width, self._height, self._above = width_pt, height_pt, above_pt
        self._taken: list[Box] = []
        self._strokes: list[Box] = []

    def take(self, box: Box) -> None:
        """Nothing else may stand here."""
        self._taken.append(box)

    def avoid(self, stroke: Box) -> None:
        """Words stay off this where they can."""
        self._strokes.append(stroke)

    def is_free(self, box: Box) -> bool:
        """True where nothing stands yet."""
        return not any(map(box.overlap, self._taken))

    def least_crowded(self, boxes: Iterable[Box], *, off_strokes: bool = False) -> Box | None:
        """The first box with the least overlap, moved onto the piece where it hung out; not taken yet."""
        best, least = None, float("inf")
        for asked in boxes:
            box = self._brought_in(asked)
            crowd = self._crowd(box) + (self._on_strokes(box) if off_strokes else 0.0)
            if crowd < least:
                best, least = box, crowd
                if least == 0:
                    break
        return best

    def first_free(self, boxes: Iterable[Box]) -> Box | None:
        """The first box that overlaps no word, and no stroke either where there is such a box."""
        on_stroke: Box | None = None
        for box in boxes:
            if box == self._brought_in(box) and self.is_free(box):
                if self.is_clear(box):
                    return box
                on_stroke = on_stroke or box
        return on_stroke

    def first_clear(self, boxes: Iterable[Box]) -> Box | None:
        """The first box on the piece that overlaps neither a word nor a stroke."""
        return next((box for box in boxes if box == self._brought_in(box) and self.is_clear(box)), None)

    def is_clear(self, box: Box) -> bool:
        """True where neither a word nor a stroke is."""
        return self.is_free(box) and not any(map(box.overlap, self._strokes))

    def _brought_in(self, box: Box) -> Box:
        return box.brought_in(self._width, self._height, self._above)

    def _on_strokes(self, box: Box) -> float:
        return STROKE_WEIGHT * sum(map(box.overlap, self._strokes))

    def _crowd(self, box: Box) -> float:
        return sum(map(box.overlap, self._taken))


def _between(middle: float, size: float, sheet: float, over: float = OVER_THE_EDGE_PT) -> float:
    low, high = size / 2 - OVER_THE_EDGE_PT, sheet - size / 2 + over
    return sheet / 2 if low > high else min(max(middle, low), high)


def text_box(text: str, size_pt: float, *, x: float = 0.0, y: float = 0.0) -> Box:
    """Box of words on one line or more."""
    lines = text.split("\n")
    widest = max(len(line) for line in lines)
    return Box(
        x=x,
        y=y,
        width=(widest * WIDTH_OF_A_LETTER + 0.5) * size_pt,
        height=(1.5 + 1.25 * (len(lines) - 1)) * size_pt,
    )
