"""Minutes on the map stand beside feed lines and vents, never over them, measured on what is drawn."""

from __future__ import annotations

from typing import Any

import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Text

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.map_marks import Marks
from optimiser.run_sheet.map_pieces import Window, extent, lay_out

PAGE = Window(x0=0.0, x1=10.7, y0=0.0, y1=6.0)
COLUMNS, ROWS = 60, 31


def along_lines(fields: dict[str, Any], runs_y_mm: list[float]) -> PlanDocument:
    """A rectangle of 100 mm cells that wets along y, one minute a cell, with feed lines along x."""
    cells = [(100.0 * i + 50, 100.0 * j + 50) for i in range(COLUMNS) for j in range(ROWS)]
    width, height = 100.0 * COLUMNS, 100.0 * ROWS
    fields["map"] = {
        "outlines": [{"border_mm": [(0, 0), (width, 0), (width, height), (0, height)], "holes_mm": []}],
        "runs": [
            {"label": f"{n}-MID", "kind": "line", "run_mm": [(0, y_mm), (width, y_mm)], "order": n}
            for n, y_mm in enumerate(runs_y_mm, start=1)
        ],
        "cell_mm": 100.0,
        "x_mm": [x for x, _ in cells],
        "y_mm": [y for _, y in cells],
        "wet_s": [0.6 * (y - 50) for _, y in cells],
    }
    return PlanDocument.model_validate(fields)


def minutes_over_lines(plan: PlanDocument) -> tuple[list[str], int]:
    """Numbers whose white ground covers a feed line, and how many numbers there are."""
    (piece,) = lay_out(extent(plan.map), PAGE)
    figure = Figure(figsize=(PAGE.x1, PAGE.y1))
    canvas = FigureCanvasAgg(figure)
    box = piece.page_in
    axes = figure.add_axes((box.x0 / PAGE.x1, box.y0 / PAGE.y1, box.width / PAGE.x1, box.height / PAGE.y1))
    Marks(plan, [piece]).draw(axes, piece)
    canvas.draw()
    numbers = [text for text in axes.texts if text.get_text().endswith(" min")]
    lines_px = [axes.transData.transform(run.run_mm[0])[1] for run in plan.map.runs]
    over = [text.get_text() for text in numbers for y_px in lines_px if _covers(text, y_px)]
    return over, len(numbers)


def _covers(number: Text, y_px: float) -> bool:
    ground = number.get_bbox_patch()
    assert ground is not None
    box = ground.get_window_extent()
    return bool(box.y0 < y_px < box.y1)


@pytest.mark.parametrize("off_mm", [-60.0, 0.0, 60.0])
def test_a_minute_stands_beside_a_line_that_resin_reaches_then(fields: dict[str, Any], off_mm: float) -> None:
    """The line of 15 minutes lies along a feed line, right on it or close by: its number is off the feed line."""
    over, numbers = minutes_over_lines(along_lines(fields, [1_550.0 + off_mm]))
    assert over == []
    assert numbers >= 3 * 5


def test_a_minute_without_room_is_left_out(fields: dict[str, Any]) -> None:
    """Feed lines so close together that no number fits between them: none is put over them."""
    over, numbers = minutes_over_lines(along_lines(fields, [50.0 + 100 * k for k in range(31)]))
    assert (over, numbers) == ([], 0)
