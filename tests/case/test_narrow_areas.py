"""Slow strips narrower than a cell are warned of, wherever they lie; nothing else is."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from cases import demo_case_names, demo_case_path
from optimiser.case.narrow_areas import narrow_area_warnings
from optimiser.case.read_case import case_from_mapping, read_case

ASLANT = [[2200, 300], [2230, 300], [2430, 900], [2400, 900]]
"""28 mm square across."""


def warned(border_mm: list[list[float]], laminate: str = "solid pad", cell_mm: float = 50) -> list[str]:
    data: dict[str, Any] = yaml.safe_load(Path(demo_case_path("slow_island")).read_text(encoding="utf-8"))
    data["areas"][-1] |= {"border_mm": border_mm, "laminate": laminate}
    data["search"]["cell_mm"] = cell_mm
    return [*narrow_area_warnings(case_from_mapping(data).shot)]


def test_a_slow_strip_narrower_than_a_cell_is_named_with_its_width_and_the_cells_to_take() -> None:
    """The widest circle in it is as wide as the strip: 30 mm along the cells by geometry, times cos of the slant."""
    (said,) = warned(ASLANT)
    assert "area pad" in said
    assert "at most 28 mm wide, narrower than a cell of 50 mm" in said
    assert said.endswith("take cells of at most 14 mm")


@pytest.mark.parametrize(
    ("border_mm", "laminate", "cell_mm"),
    [
        (ASLANT, "sandwich", 50),
        (ASLANT, "solid pad", 25),
        ([[2200, 300], [2600, 300], [2600, 500], [2200, 500]], "solid pad", 50),
    ],
    ids=["as fast as the rest", "finer cells", "wide enough"],
)
def test_nothing_is_said_of(border_mm: list[list[float]], laminate: str, cell_mm: float) -> None:
    """What lets resin through, or is as wide as a cell."""
    assert warned(border_mm, laminate, cell_mm) == []


def test_an_area_of_which_nothing_is_seen_is_passed_over() -> None:
    """The pad covers the whole panel: the sandwich beneath it is nowhere."""
    assert warned([[-100, -100], [9000, -100], [9000, 9000], [-100, 9000]]) == []


@pytest.mark.parametrize("name", demo_case_names())
def test_no_demo_has_one(name: str) -> None:
    """The bare edges of the hull's patches are as wide as its cells."""
    assert [*narrow_area_warnings(read_case(demo_case_path(name)).shot)] == []
