"""No document within the limits makes the reader work for long, and none that a yard would draw is refused for it."""

from __future__ import annotations

import copy
import math
import time
from collections.abc import Callable
from typing import Any

import pytest

from cases import demo_case_path
from optimiser.case.read_case import case_from_mapping
from optimiser.case.read_text import read_data
from optimiser.errors import Fault, InputError

MOST_S = 20.0
"""Each takes one or two seconds of processor time here; a slow machine is allowed more."""
WIDTH_MM, HEIGHT_MM = 20_000, 12_000

FLAT_PANEL: Any = read_data(demo_case_path("flat_panel"))
Corners = list[list[float]]


def wide_panel(border: Corners | None = None) -> Any:
    """The flat panel grown to twenty by twelve metres, with one line and one vent."""
    document = copy.deepcopy(FLAT_PANEL)
    sides: Corners = [[0, 0], [WIDTH_MM, 0], [WIDTH_MM, HEIGHT_MM], [0, HEIGHT_MM]]
    document["sheet"] = {"outlines": [{"name": "panel", "border_mm": border or sides}], "heights": []}
    document["areas"] = [area(document, None)]
    document["feed_lines"] = document["feed_lines"][:1]
    document["feed_lines"][0]["sections"][0]["run_mm"] = [[9000, 6000], [11000, 6000]]
    document["vents"] = document["vents"][:1]
    document["vents"][0]["run_mm"] = [[10_000, 6500]]
    return document


def area(document: Any, border: Corners | None, name: str = "all") -> dict[str, Any]:
    return {"name": name, "laminate": next(iter(document["laminates"])), "border_mm": border}


def comb(teeth: int) -> Corners:
    """A border with a tooth up the sheet every so often."""
    pitch = WIDTH_MM / teeth
    tops = [
        [round(pitch * (tooth + across), 2), up]
        for tooth in reversed(range(teeth))
        for across, up in ((0.75, 100), (0.75, HEIGHT_MM), (0.25, HEIGHT_MM), (0.25, 100))
    ]
    return [[0, 0], [WIDTH_MM, 0], *tops]


def ellipse(corners: int, *, radius_mm: float = 5900) -> Corners:
    turns = (2 * math.pi * corner / corners for corner in range(corners))
    return [[round(10_000 + radius_mm * math.cos(t), 2), round(6000 + radius_mm * math.sin(t), 2)] for t in turns]


def crossed_combs() -> Any:
    """Every tooth of one area crosses every tooth of the other."""
    document = wide_panel()
    across = [[y * WIDTH_MM / HEIGHT_MM, x * HEIGHT_MM / WIDTH_MM] for x, y in comb(2000)]
    document["areas"] += [area(document, comb(2000), "a"), area(document, across, "b")]
    return document


def more_corners_than_a_drawing_has() -> Any:
    """A hundred thousand holes' corners."""
    document = wide_panel()
    document["sheet"]["outlines"][0]["holes_mm"] = [
        [[x + 5 * dx, y + 5 * dy] for dx, dy in ellipse(1000, radius_mm=1)] for x, y in [(0, 0)] * 100
    ]
    return document


def run_to_and_fro() -> Any:
    """A slanting comb's edges all lie across the box of every leg of a run between them."""
    document = wide_panel([[x + y / 2, y] for x, y in comb(2000)])
    legs = [[100 + (place % 2) * 9000.0, 50 + (place % 2) * 11_000.0] for place in range(2000)]
    document["feed_lines"][0]["sections"][0]["run_mm"] = legs
    return document


def fan() -> Any:
    """Ten thousand triangles round one vertex, and runs with many corners on them."""
    document = wide_panel()
    rim = [[*corner, 0] for corner in ellipse(10_000)]
    triangles = [[0, 1 + place, 1 + (place + 1) % len(rim)] for place in range(len(rim))]
    document["sheet"] = {"surface": {"vertices_mm": [[10_000, 6000, 0], *rim], "triangles": triangles}}
    run = [[10_000 + place, 6000 + place % 2, 0] for place in range(2000)]
    document["feed_lines"][0]["sections"][0]["run_mm"] = run
    document["vents"][0]["run_mm"] = [[10_000, 6500, 0]]
    return document


@pytest.mark.parametrize(
    ("document", "path"),
    [
        (crossed_combs, ""),
        (more_corners_than_a_drawing_has, "/sheet/outlines"),
        (run_to_and_fro, ""),
        (fan, "/sheet/surface/triangles"),
    ],
)
def test_a_drawing_that_would_take_minutes_is_refused_in_seconds(document: Callable[[], Any], path: str) -> None:
    """By counting what lies close together, before any shape is laid on another."""
    faults = quickly_refused(document())
    assert [fault.path for fault in faults] == [path]


def test_thousands_of_unknown_names_are_refused_in_seconds() -> None:
    """No more of them are compared with the known ones than are told."""
    document = wide_panel()
    ply = next(iter(document["reinforcements"].values()))
    document["reinforcements"] |= {f"fabric {number:03} {'abcdefghij' * 4}": ply for number in range(190)}
    layers = [{"ply": f"fabric {number:03} {'abcdefghik' * 4}", "angle_deg": 0} for number in range(100)]
    laminate = {"fibre_volume_percent": 50, "layers": layers}
    document["laminates"] |= {f"stack {number}": laminate for number in range(190)}
    assert len(quickly_refused(document)) == 200


def test_many_equal_plies_are_one_thick_ply() -> None:
    """A hundred laminates of a hundred layers of a hundred plies are checked layer by layer."""
    document = wide_panel()
    ply = next(iter(document["reinforcements"]))
    layers = [{"ply": ply, "angle_deg": angle, "count": 100, "fibre_volume_percent": 50} for angle in range(100)]
    document["laminates"] |= {f"stack {number}": {"layers": layers} for number in range(100)}
    assert quickly_read(document).shot.part.outlines


def test_hundreds_of_areas_that_overlap_are_read() -> None:
    """Which of them are hidden is found in one way down through the areas."""
    document = wide_panel()
    for number in range(499):
        x = 40 * number
        border = [[x, 10], [x + 60, 10], [x + 60, 900], [x, 900]]
        document["areas"].append(area(document, border, f"patch {number}"))
    assert not [warning for warning in quickly_read(document).warnings if "wholly under" in warning]


def test_areas_that_follow_a_finely_drawn_outline_are_read() -> None:
    """An edge that is drawn again for each area is no crowd. All but the topmost are told to be hidden."""
    border = ellipse(3000)
    document = wide_panel(border)
    document["areas"] += [area(document, border, f"layer {number}") for number in range(20)]
    warnings = quickly_read(document).warnings
    assert sum("wholly under" in warning for warning in warnings) == 19


def test_two_hundred_lines_of_five_hundred_corners_are_read() -> None:
    """A long document of a large part is no hostile one."""
    document = wide_panel()
    line = document["feed_lines"][0]
    document["feed_lines"] = [
        {
            **line,
            "name": f"L{number}",
            "sections": [
                {
                    **line["sections"][0],
                    "run_mm": [[100 + 20 * place, 50 + 55 * number + place % 2] for place in range(500)],
                }
            ],
        }
        for number in range(200)
    ]
    assert len(quickly_read(document).shot.part.feed_lines) == 200


def quickly_read(document: Any) -> Any:
    began = time.process_time()
    case = case_from_mapping(document)
    assert time.process_time() - began < MOST_S
    return case


def quickly_refused(document: Any) -> tuple[Fault, ...]:
    began = time.process_time()
    with pytest.raises(InputError) as caught:
        case_from_mapping(document)
    assert time.process_time() - began < MOST_S
    return caught.value.faults
