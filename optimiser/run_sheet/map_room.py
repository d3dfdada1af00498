"""Room for words on the map: boxes that are taken, and the best place for the next one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

POINTS_PER_INCH = 72.0
WIDTH_OF_A_LETTER = 0.72
"""Of its height, for the bold typeface; on the wide side."""

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
        wide = min(self.x + self.width / 2, other.x + other.width / 2) - max(
            self.x - self.width / 2, other.x - other.width / 2
        )
        high = min(self.y + self.height / 2, other.y + other.height / 2) - max(
            self.y - self.height / 2, other.y - other.height / 2
        )
        return max(wide, 0.0) * max(high, 0.0)

    def inside(self, width: float, height: float) -> bool:
        """True within a sheet from (0, 0) to (width, height)."""
        reach_x, reach_y = self.width / 2, self.height / 2
        return reach_x <= self.x <= width - reach_x and reach_y <= self.y <= height - reach_y


class MapRoom:
    """Taken boxes of one piece of the map."""

    def __init__(self, *, width_pt: float, height_pt: float) -> None:
        self._width, self._height = width_pt, height_pt
        self._taken: list[Box] = []
        self._strokes: list[Box] = []

    def take(self, box: Box) -> None:
        """Nothing else may stand here."""
        self._taken.append(box)

    def avoid(self, stroke: Box) -> None:
        """Words stay off this where they can."""
        self._strokes.append(stroke)

    def least_crowded(self, boxes: Iterable[Box]) -> Box | None:
        """The first box with the least overlap among those that lie on the piece; it is not taken yet."""
        best, least = None, float("inf")
        for box in boxes:
            crowd = self._crowd(box)
            if box.inside(self._width, self._height) and crowd < least:
                best, least = box, crowd
                if least == 0:
                    break
        return best

    def first_free(self, boxes: Iterable[Box]) -> Box | None:
        """The first box that overlaps no word, and no stroke either where there is such a box."""
        free = [box for box in boxes if box.inside(self._width, self._height) and self._crowd(box) == 0]
        off_strokes = (box for box in free if not any(box.overlap(stroke) for stroke in self._strokes))
        return next(off_strokes, free[0] if free else None)

    def _crowd(self, box: Box) -> float:
        return sum(box.overlap(other) for other in self._taken)


def text_box(text: str, size_pt: float, *, x: float = 0.0, y: float = 0.0) -> Box:
    """Box of one line of words."""
    return Box(x=x, y=y, width=(len(text) * WIDTH_OF_A_LETTER + 0.5) * size_pt, height=1.5 * size_pt)
