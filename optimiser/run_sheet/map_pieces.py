"""How a part is laid on a landscape page: a long thin one is cut into pieces, so that each is drawn as large as it goes."""

from __future__ import annotations

from dataclasses import dataclass

from optimiser.case.plan_document import MapData

MOST_PIECES = 3
OVERLAP = 0.04
"""Share of a piece's length that its neighbour shows too."""
GAP = 0.07
"""Share of the page between pieces, for their captions."""
WORTH_A_CUT = 1.25
"""One piece more must draw everything this much larger."""


@dataclass(frozen=True, kw_only=True)
class Window:
    """A rectangle of the part, in mm."""

    x0: float
    x1: float
    y0: float
    y1: float

    @property
    def width(self) -> float:
        return self.x1 - self.x0

    @property
    def height(self) -> float:
        return self.y1 - self.y0


@dataclass(frozen=True, kw_only=True)
class Pieces:
    """The windows of one page and whether they stand one above the other."""

    windows: tuple[Window, ...]
    stacked: bool
    """True: cut along x, one above the other; False: cut along y, side by side."""


def extent(data: MapData) -> Window:
    """Box round everything that is drawn, with a margin of a twenty-fifth."""
    points = [point for outline in data.outlines for point in outline.border_mm]
    points += [point for run in data.runs for point in run.run_mm]
    points += list(zip(data.x_mm, data.y_mm, strict=True))
    xs, ys = [x for x, _ in points] or [0.0], [y for _, y in points] or [0.0]
    margin = max(max(xs) - min(xs), max(ys) - min(ys), 1.0) / 40
    return Window(x0=min(xs) - margin, x1=max(xs) + margin, y0=min(ys) - margin, y1=max(ys) + margin)


def cut(whole: Window, *, page_aspect: float) -> Pieces:
    """Cut the long way into as few pieces as make the drawing clearly larger; `page_aspect` is width over height."""
    stacked = whole.width >= whole.height
    count, best = 1, _scale(whole, 1, stacked=stacked, page_aspect=page_aspect)
    for more in range(2, MOST_PIECES + 1):
        scale = _scale(whole, more, stacked=stacked, page_aspect=page_aspect)
        if scale > WORTH_A_CUT * best:
            count, best = more, scale
    return Pieces(windows=tuple(_windows(whole, count, stacked=stacked)), stacked=stacked)


def _scale(whole: Window, count: int, *, stacked: bool, page_aspect: float) -> float:
    """Page heights per mm of the part."""
    room = (1 - GAP * (count - 1)) / count
    if stacked:
        return min(page_aspect * count / whole.width / (1 + OVERLAP), room / whole.height)
    return min(count / whole.height / (1 + OVERLAP), page_aspect * room / whole.width)


def _windows(whole: Window, count: int, *, stacked: bool) -> list[Window]:
    """Equal windows along the long way; inner borders reach over the cut by half the overlap."""
    start, stop = (whole.x0, whole.x1) if stacked else (whole.y0, whole.y1)
    length = (stop - start) / count
    over = OVERLAP * length / 2 if count > 1 else 0.0
    spans = [(start + i * length - over, start + (i + 1) * length + over) for i in range(count)]
    if stacked:
        return [Window(x0=a, x1=b, y0=whole.y0, y1=whole.y1) for a, b in spans]
    return [Window(x0=whole.x0, x1=whole.x1, y0=a, y1=b) for a, b in reversed(spans)]
