"""A size of cells that is not taken is told with its place, what was asked for and what was taken."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from optimiser.case.coarse_cells import other_coarse_cells
from optimiser.case.read_case import case_from_mapping
from optimiser.plan.scenes import scenes_of

TINY = Path(__file__).parents[1] / "api" / "tiny_case.yaml"


@pytest.mark.parametrize(
    ("asked_mm", "cell_mm", "said"),
    [
        (1000, 20, "cells of about 47 mm, not 1000 mm: the part is no more than a few"),
        (12, 20, "cells of about 20 mm, not 12 mm: they are never smaller"),
        (40, 20, ""),
        (None, 20, ""),
    ],
)
def test_cells_of_another_size_than_asked_for_are_told(asked_mm: float | None, cell_mm: float, said: str) -> None:
    """Middles of cells of 20 mm lie 280 mm apart across a panel of 300 mm: a sixth of that is the most. What is not
    asked for is not told."""
    data = yaml.safe_load(TINY.read_text("utf-8"))
    data["search"] = {"cell_mm": cell_mm} | ({} if asked_mm is None else {"coarse_cell_mm": asked_mm})
    case = case_from_mapping(data)
    found = other_coarse_cells(case.document.search, scenes_of(case.shot))
    assert len(found) == bool(said)
    assert all(one.startswith("/search/coarse_cell_mm: ") and said in one for one in found)
