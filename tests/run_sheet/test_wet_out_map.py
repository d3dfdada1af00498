"""The wet-out map: drawn from the cells, the same every time, for parts of any shape."""

from __future__ import annotations

import io
import xml.etree.ElementTree as ET
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from PIL import Image

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.isochrones import levels_min, wet_field
from optimiser.run_sheet.map_pieces import Window, lay_out
from optimiser.run_sheet.map_room import Box, MapRoom
from optimiser.run_sheet.wet_out_map import wet_out_map_png, wet_out_map_svg

PAGE = Window(x0=0.0, x1=10.7, y0=0.0, y1=6.0)


def grid_plan(fields: dict[str, Any], columns: int, rows: int, **changes: Any) -> PlanDocument:
    """A plain rectangle of 100 mm cells that wets along x, one minute per cell."""
    cells = [(100.0 * i + 50, 100.0 * j + 50) for i in range(columns) for j in range(rows)]
    width, height = 100.0 * columns, 100.0 * rows
    fields["map"] = {
        "outlines": [{"border_mm": [(0, 0), (width, 0), (width, height), (0, height)], "holes_mm": []}],
        "runs": [{"label": "1-MID", "kind": "line", "run_mm": [(50, 0), (50, height)], "order": 1}],
        "cell_mm": 100.0,
        "x_mm": [x for x, _ in cells],
        "y_mm": [y for _, y in cells],
        "wet_s": [0.6 * (x - 50) for x, _ in cells],
        **changes,
    }
    return PlanDocument.model_validate(fields)


@pytest.fixture(scope="module")
def svg(plan: PlanDocument) -> str:
    return wet_out_map_svg(plan)


@pytest.fixture(scope="module")
def png(plan: PlanDocument) -> bytes:
    return wet_out_map_png(plan)


def test_the_same_plan_draws_the_same_map(plan: PlanDocument, svg: str, png: bytes) -> None:
    """SVG and PNG are equal byte for byte on a second drawing."""
    assert wet_out_map_svg(plan) == svg
    assert wet_out_map_png(plan) == png


def test_the_drawing_is_one_well_formed_svg_in_greys(svg: str, png: bytes) -> None:
    """Read by Python's own XML parser; no date, and no colour but greys in the PNG."""
    root = ET.fromstring(svg)
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    pixels = np.asarray(Image.open(io.BytesIO(png)).convert("RGB")).astype(int)
    assert (np.ptp(pixels, axis=2) == 0).all()


def test_lines_of_equal_time_lie_where_the_cells_say(fields: dict[str, Any]) -> None:
    """A front at one minute per cell: linear interpolation puts the minute of each corner back exactly."""
    field = wet_field(grid_plan(fields, 30, 10).map)
    assert field is not None
    inner = (field.triangulation.x % 100 == 50) & (field.triangulation.y % 100 == 50)
    assert field.values[inner] == pytest.approx((field.triangulation.x[inner] - 50) / 100)
    assert levels_min(field)[0] == 0
    assert levels_min(field)[-1] >= 29


def test_shading_reaches_the_edge_of_the_part_and_stays_out_of_its_holes(plan: PlanDocument) -> None:
    """Area of the used triangles is that of the outline less the window, by the shoelace formula.

    The tolerance is a third of the cells along the edge, 1 % each way.
    """
    field = wet_field(plan.map)
    assert field is not None
    used = field.triangulation.get_masked_triangles()
    x, y = field.triangulation.x[used], field.triangulation.y[used]
    doubled = (x[:, 1] - x[:, 0]) * (y[:, 2] - y[:, 0]) - (x[:, 2] - x[:, 0]) * (y[:, 1] - y[:, 0])
    covered = 0.5 * np.abs(doubled).sum()
    (outline,) = plan.map.outlines
    bx, by = np.array(outline.border_mm).T
    part = 0.5 * abs((bx * np.roll(by, -1) - by * np.roll(bx, -1)).sum()) - 1_200.0 * 230.0
    assert covered == pytest.approx(part, rel=0.02)


def test_dry_cells_are_left_out_of_the_shading(failing_plan: PlanDocument) -> None:
    """A triangle with a dry corner is not drawn as wet."""
    field = wet_field(failing_plan.map)
    assert field is not None
    assert np.isfinite(field.values[field.triangulation.get_masked_triangles()]).all()


@pytest.mark.parametrize(
    ("columns", "rows", "changes"),
    [
        (130, 1, {}),
        (1, 130, {}),
        (20, 20, {"wet_s": [None] * 400}),
        (20, 20, {"wet_s": [0.0] * 400}),
        (12, 4, {"outlines": [], "runs": []}),
        (2, 2, {"triangles": [(0, 1, 2), (1, 2, 3)]}),
        (0, 0, {"outlines": [], "runs": []}),
        (8, 8, {"runs": [{"label": "V", "kind": "vent", "run_mm": [(400.0, 400.0)], "order": 3}]}),
    ],
    ids=[
        "one-row",
        "one-column",
        "all-dry",
        "all-at-once",
        "no-outline",
        "surface",
        "no-cells",
        "vent-at-a-point",
    ],
)
def test_odd_parts_are_drawn_too(
    fields: dict[str, Any], columns: int, rows: int, changes: dict[str, Any]
) -> None:
    """Shapes that give no triangles or no lines still make a map."""
    svg = wet_out_map_svg(grid_plan(fields, columns, rows, **changes))
    assert ET.fromstring(svg).tag.endswith("svg")


def test_a_long_thin_part_is_cut_and_drawn_larger() -> None:
    """24 m by 2.3 m: two pieces, clearly larger than in one, all of the length shown, and the overlap named."""
    whole = Window(x0=0, x1=24_000, y0=0, y1=2_300)
    pieces = lay_out(whole, PAGE)
    assert len(pieces) == 2
    assert pieces[0].scale_in_per_mm > 1.35 * PAGE.width / whole.width
    assert pieces[0].window_mm.x0 == 0
    assert pieces[-1].window_mm.x1 == pytest.approx(24_000)
    assert pieces[0].window_mm.x1 > pieces[1].window_mm.x0
    twice = f"drawn twice from {pieces[1].window_mm.x0 / 1000:.1f} to {pieces[0].window_mm.x1 / 1000:.1f} m"
    assert all(piece.caption.endswith(twice) for piece in pieces)


def test_a_part_that_fits_the_page_is_not_cut() -> None:
    """13 m by 2.3 m in two pieces would be drawn less than 1.35 times larger: one piece, no caption."""
    (piece,) = lay_out(Window(x0=0, x1=13_000, y0=0, y1=2_300), PAGE)
    assert piece.caption == ""


@pytest.mark.parametrize(
    "size", [(13_000, 2_300), (2_300, 13_000), (5_000, 5_000), (50_000, 100), (2_300, 40_000)]
)
def test_every_piece_stays_on_the_page(size: tuple[float, float]) -> None:
    """Pieces lie inside the page and do not overlap one another."""
    pieces = lay_out(Window(x0=0, x1=size[0], y0=0, y1=size[1]), PAGE)
    rounding = 1e-9
    for piece in pieces:
        box = piece.page_in
        assert box.x0 >= PAGE.x0 - rounding
        assert box.x1 <= PAGE.x1 + rounding
        assert box.y0 >= PAGE.y0 - rounding
        assert box.y1 <= PAGE.y1 + rounding
    for one, other in pairwise(pieces):
        assert other.page_in.y1 <= one.page_in.y0 + rounding or other.page_in.x0 >= one.page_in.x1 - rounding


def test_words_are_kept_apart() -> None:
    """A free place is preferred, off the strokes where possible, and none is invented where there is none."""
    room = MapRoom(width_pt=100, height_pt=20)
    room.take(Box(x=20, y=10, width=30, height=10))
    room.avoid(Box(x=60, y=10, width=10, height=10))
    ways = [Box(x=x, y=10, width=20, height=10) for x in (20, 55, 85)]
    assert room.first_free(ways) == ways[2]
    assert room.first_free(ways[:2]) == ways[1]
    assert room.first_free(ways[:1]) is None
