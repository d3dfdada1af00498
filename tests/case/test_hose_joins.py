"""Where a tap's hose joins its line, as the map shows it."""

from __future__ import annotations

import pytest
import shapely

from optimiser.case.map_data import point_along
from optimiser.case.map_document import MapRun

BENT_M = ((0.0, 0.0), (3.0, 4.0), (3.0, 5.0))


@pytest.mark.parametrize("share", [0.0, 0.25, 0.5, 0.9, 1.0])
def test_the_point_lies_at_its_share_of_the_length(share: float) -> None:
    """Against shapely's own interpolation along a line of 5 m and 1 m."""
    expected = shapely.line_interpolate_point(shapely.LineString(BENT_M), share, normalized=True)
    assert point_along(BENT_M, share) == pytest.approx((expected.x, expected.y))


def test_height_counts_into_the_length_on_a_surface() -> None:
    """A run that climbs 4 m over its first 3 m: five of its eight metres are gone there (Pythagoras)."""
    climbing_m = ((0.0, 0.0, 0.0), (3.0, 0.0, 4.0), (6.0, 0.0, 4.0))
    assert point_along(climbing_m, 5 / 8) == pytest.approx((3.0, 0.0, 4.0))


def test_a_plan_from_before_inlets_were_kept_is_still_read() -> None:
    """No inlet in the file: the field is empty, nothing is refused."""
    old = {"label": "1", "kind": "line", "run_mm": [(0, 0), (100, 0)], "order": 1}
    assert MapRun.model_validate(old).inlet_mm is None
