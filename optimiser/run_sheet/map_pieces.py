"""How a part is laid on a landscape page: a long thin one is cut into pieces and so drawn larger."""

from __future__ import annotations

from dataclasses import dataclass

from optimiser.case.map_document import MapData

MOST_PIECES = 3
OVERLAP = 0.04
"""Share of a piece's length that its neighbour shows too."""
CAPTION_LINE_IN = 0.2
"""Height of one line of words over each piece."""
EDGE_IN = 0.4
"""Room left of each piece and below it, for the metres along its edges."""
GAP_IN = 0.15
"""Between pieces that stand side by side."""
WORTH_A_CUT = 1.35
"""One piece more must draw everything this much larger: a reader has to find the way across each cut."""


@dataclass(frozen=True, kw_only=True)
class Window:
    """A rectangle: of the part in mm, or of the page in inches."""

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

    def holds(self, spot: tuple[float, float]) -> bool:
        return self.x0 <= spot[0] <= self.x1 and self.y0 <= spot[1] <= self.y1


@dataclass(frozen=True, kw_only=True)
class Piece:
    """One window of the part and where on the page it is drawn."""

    window_mm: Window
    page_in: Window
    caption: str
    """Empty where the part is drawn in one piece."""
    scale_in_per_mm: float
    number: int = 1
    """From 1 on, as in its caption."""
    above_in: float = 0.0
    """Height of the room over it that stays empty, where there is no caption."""


def extent(data: MapData) -> Window:
    """Box round everything that is drawn, with a narrow margin."""
    points = [point for outline in data.outlines for point in outline.border_mm]
    points += [point for run in data.runs for point in run.run_mm]
    points += list(zip(data.x_mm, data.y_mm, strict=True))
    xs, ys = [x for x, _ in points] or [0.0], [y for _, y in points] or [0.0]
    longest = max(max(xs) - min(xs), max(ys) - min(ys), 1.0)
    margin = max(0.03 * min(max(xs) - min(xs), max(ys) - min(ys)), 0.01 * longest)
    return Window(x0=min(xs) - margin, x1=max(xs) + margin, y0=min(ys) - margin, y1=max(ys) + margin)


def lay_out(whole: Window, page: Window) -> list[Piece]:
    """Cut the long way into as few pieces as make the drawing clearly larger, and place them on the page."""
    count = 1
    for more in range(2, MOST_PIECES + 1):
        if _scale(whole, page, more) > WORTH_A_CUT * _scale(whole, page, count):
            count = more
    scale, along_x = _scale(whole, page, count), _along_x(whole)
    windows = _windows(whole, count)
    pieces = []
    for number, window in enumerate(windows):
        slot = _slot(page, number, count, along_x=along_x)
        place = _place(window, slot, scale)
        pieces.append(
            Piece(
                window_mm=window,
                page_in=place,
                caption="" if count == 1 else _caption(windows, number, along_x=along_x),
                scale_in_per_mm=scale,
                number=number + 1,
                above_in=slot.y1 - place.y1 if count == 1 else 0.0,
            )
        )
    return pieces


def round_all(pieces: list[Piece]) -> Window:
    """The part of the page that the pieces take up, in inches."""
    boxes = [piece.page_in for piece in pieces]
    return Window(
        x0=min(box.x0 for box in boxes),
        x1=max(box.x1 for box in boxes),
        y0=min(box.y0 for box in boxes),
        y1=max(box.y1 for box in boxes),
    )


def home_of(pieces: list[Piece], spot_mm: tuple[float, float]) -> Piece:
    """The one piece that shows this spot farthest from where it was cut."""

    def off_middle_mm(piece: Piece) -> float:
        window = piece.window_mm
        return abs(spot_mm[0] - (window.x0 + window.x1) / 2) + abs(spot_mm[1] - (window.y0 + window.y1) / 2)

    return min(pieces, key=off_middle_mm)


def _along_x(whole: Window) -> bool:
    return whole.width >= whole.height


def _scale(whole: Window, page: Window, count: int) -> float:
    """Inches of page per mm of the part."""
    window = _windows(whole, count)[0]
    slot = _slot(page, 0, count, along_x=_along_x(whole))
    return min(slot.width / window.width, slot.height / window.height)


def _slot(page: Window, number: int, count: int, *, along_x: bool) -> Window:
    """Room for one piece, without caption and edges: one above the other, or side by side."""
    lines = 0 if count == 1 else 1 if along_x else 2
    caption = lines * CAPTION_LINE_IN
    if along_x:
        height = page.height / count
        top = page.y1 - number * height
        return Window(x0=page.x0 + EDGE_IN, x1=page.x1, y0=top - height + EDGE_IN, y1=top - caption)
    width = (page.width - GAP_IN * (count - 1)) / count
    left = page.x0 + number * (width + GAP_IN)
    return Window(x0=left + EDGE_IN, x1=left + width, y0=page.y0 + EDGE_IN, y1=page.y1 - caption)


def _place(window: Window, slot: Window, scale: float) -> Window:
    """The window at this scale in the middle of its slot."""
    width, height = window.width * scale, window.height * scale
    x0, y1 = slot.x0 + (slot.width - width) / 2, slot.y1 - (slot.height - height) / 2
    return Window(x0=x0, x1=x0 + width, y0=y1 - height, y1=y1)


def _windows(whole: Window, count: int) -> list[Window]:
    """Equal windows along the long way that share a narrow overlap at each cut."""
    start, stop = (whole.x0, whole.x1) if _along_x(whole) else (whole.y0, whole.y1)
    length = (stop - start) / (count - (count - 1) * OVERLAP)
    starts = [start + i * length * (1 - OVERLAP) for i in range(count)]
    if _along_x(whole):
        return [Window(x0=a, x1=a + length, y0=whole.y0, y1=whole.y1) for a in starts]
    return [Window(x0=whole.x0, x1=whole.x1, y0=a, y1=a + length) for a in starts]


def _caption(windows: list[Window], number: int, *, along_x: bool) -> str:
    """What this piece shows, and which stretches its neighbours show too."""
    ends_m = [(w.x0 / 1000, w.x1 / 1000) if along_x else (w.y0 / 1000, w.y1 / 1000) for w in windows]
    start_m, stop_m = ends_m[number]
    twice = [f"from {ends_m[i + 1][0]:.1f} to {ends_m[i][1]:.1f} m" for i in (number - 1, number) if _cut(i, ends_m)]
    way, between = ("x", ", ") if along_x else ("y", "\n")
    shows = f"Piece {number + 1} of {len(windows)}: {way} from {start_m:.1f} to {stop_m:.1f} m"
    return f"{shows}{between}drawn twice {' and '.join(twice)}"


def _cut(index: int, pieces: list[tuple[float, float]]) -> bool:
    """True where a piece with this index has a next one."""
    return 0 <= index < len(pieces) - 1
