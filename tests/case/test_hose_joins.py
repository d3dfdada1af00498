"""Where a tap's hose joins its line, as the map shows it."""

from __future__ import annotations

import pytest
import shapely

from optimiser.case.map_data import outlet_mm, point_along
from optimiser.case.map_document import MapRun
from optimiser.part.part import Vent

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


@pytest.mark.parametrize(
    ("hose_bore_m", "run_m", "expected"),
    [(0.012, BENT_M, (3_000.0, 4_000.0)), (None, BENT_M, None), (0.012, ((3.0, 4.0),), None)],
)
def test_where_the_hose_of_a_vent_joins_is_kept_where_the_case_gives_it(
    hose_bore_m: float | None, run_m: tuple[tuple[float, ...], ...], expected: tuple[float, float] | None
) -> None:
    """Five of the six metres are gone at the bend. A vent whose hose plays no part has none, a point is one."""
    vent = Vent(
        label="V",
        run_m=run_m,
        bore_m=0.016,
        hose_length_m=2.5,
        catch_pot_m3=0.01,
        hose_bore_m=hose_bore_m,
        outlet_share=5 / 6,
    )
    assert outlet_mm(vent) == (None if expected is None else pytest.approx(expected))
