"""Names of laminate patches on the map: in full where they leave the patch to be seen, else a letter."""

from __future__ import annotations

from typing import Any

import pytest
from matplotlib.figure import Figure

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.map_marks import Marks
from optimiser.run_sheet.map_pieces import extent, lay_out
from optimiser.run_sheet.map_words import drawing_room


def patch(name: str, x_mm: float, y_mm: float, side_mm: float) -> dict[str, Any]:
    """A square one, from its lower left corner."""
    far_x, far_y = x_mm + side_mm, y_mm + side_mm
    border = [(x_mm, y_mm), (far_x, y_mm), (far_x, far_y), (x_mm, far_y)]
    return {"name": name, "laminate": "solid", "border_mm": border}


def drawn(fields: dict[str, Any], *patches: dict[str, Any]) -> tuple[list[str], list[str], Figure]:
    """Texts on the map's only piece and what stands for its letters; the figure for what is measured."""
    fields["map"]["areas"] = list(patches)
    plan = PlanDocument.model_validate(fields)
    (piece,) = pieces = lay_out(extent(plan.map), drawing_room(plan, 10.9, 7.1))
    figure = Figure(figsize=(piece.page_in.width, piece.page_in.height))
    axes = figure.add_axes((0, 0, 1, 1))
    tags = Marks(plan, pieces).draw(axes, piece)
    return [text.get_text() for text in axes.texts], tags, figure


@pytest.fixture
def short_side_mm(fields: dict[str, Any]) -> float:
    return min(max(axis) - min(axis) for axis in (fields["map"]["x_mm"], fields["map"]["y_mm"]))


def test_a_large_patch_bears_its_name(fields: dict[str, Any], short_side_mm: float) -> None:
    """There is nothing to look up."""
    texts, tags, _ = drawn(fields, patch("keel pad", 1000, 0.1 * short_side_mm, 0.8 * short_side_mm))
    assert "keel pad" in texts
    assert not tags


def test_small_patches_bear_letters_that_are_told(fields: dict[str, Any], short_side_mm: float) -> None:
    """Each its own, from A on; the name itself is not on the piece, where it would hide the patch."""
    side = 0.12 * short_side_mm
    names = ("chainplate forward", "chainplate forward, edge", "chainplate aft")
    texts, tags, _ = drawn(fields, *(patch(name, 1000 + 2000 * k, 600, side) for k, name in enumerate(names)))
    assert tags == [f"{letter}: {name}" for letter, name in zip("ABC", names, strict=True)]
    assert {"A", "B", "C"} <= set(texts)
    assert not any("chainplate" in text for text in texts)


def test_no_words_lie_over_each_other(fields: dict[str, Any], short_side_mm: float) -> None:
    """By the boxes of the words as they are drawn, numbers of steps aside, which stand in their discs."""
    side = 0.12 * short_side_mm
    places = [(1000 + 1500 * k, 300 + 400 * (k % 3)) for k in range(6)]
    _, _, figure = drawn(fields, *(patch(f"solid patch of bay {k}", x, y, side) for k, (x, y) in enumerate(places)))
    figure.canvas.draw()
    (axes,) = figure.axes
    words = [text for text in axes.texts if not text.get_text().isdecimal() and text.get_text() not in "xy"]
    boxes = [(text.get_window_extent(), text.get_text()) for text in words]
    pairs = [(one, other) for k, (a, one) in enumerate(boxes) for b, other in boxes[:k] if a.overlaps(b)]
    assert len(boxes) > 6
    assert not pairs
