"""The slow case of the sheet: variations on coarser cells never make it shorter than it is."""

from __future__ import annotations

import math
import re
from types import SimpleNamespace
from typing import Any

import pytest

from optimiser.case.late_spread import slow_wet_out_s
from optimiser.case.plan_document import PlanDocument
from optimiser.case.slow_case import fine_over_coarse, with_variations
from optimiser.run_sheet.assumed import assumption_lines
from optimiser.run_sheet.headline import latest_first_tap
from optimiser.run_sheet.mistakes import NOTHING_LEFT, mistake_page
from optimiser.run_sheet.ranges import step_range, wet_out_range

P95_S, LIMIT_S = 3_000.0, 3_780.0
"""Of variations on coarse cells, and the gel limit of the shot."""


def plan_of(fields: dict[str, Any], found: dict[str, Any], on_coarse_s: float | None) -> PlanDocument:
    """The slow case is that of the variations; wet-out as planned is 2880 s."""
    varied = found | {"wet_out_p95_s": P95_S, "as_planned_wet_out_s": on_coarse_s}
    return PlanDocument.model_validate(fields | {"spread_wet_out_s": (2_400.0, 2_900.0), "robustness": varied})


@pytest.mark.parametrize(
    ("on_coarse_s", "slow_s"),
    [(None, P95_S), (2_880.0, P95_S), (2_880.0 / 1.16, 1.16 * P95_S), (2_880.0 * 1.1, P95_S)],
)
def test_the_latest_first_tap_allows_for_cells_that_are_wet_too_soon(
    fields: dict[str, Any], robustness_fields: dict[str, Any], on_coarse_s: float | None, slow_s: float
) -> None:
    """Limit less the slow case, longer by as much as the order takes where it is verified; never shorter."""
    plan = plan_of(fields, robustness_fields, on_coarse_s)
    assert wet_out_range(plan)[1] == pytest.approx(slow_s)
    found = re.search(r"initiator \+ (\d+) min", latest_first_tap(plan))
    assert found is not None
    assert int(found[1]) == int((LIMIT_S - slow_s) / 60)


def test_steps_are_late_in_that_ratio_too(fields: dict[str, Any], robustness_fields: dict[str, Any]) -> None:
    """1.5 times the expected time on coarse cells that are wet a quarter too soon; early ones stay as they are."""
    plan = plan_of(fields, robustness_fields, 2_880.0 / 1.25)
    step = plan.steps[5]
    assert step.expected_at_s is not None
    early_s, late_s = step_range(plan, step)
    assert early_s == step.earliest_s
    assert late_s == pytest.approx(1.25 * 1.5 * step.expected_at_s)
    assert "on their coarser cells the order is wet 20% sooner, so their late times are taken later" in (
        assumption_lines(plan)[0]
    )


def test_coarse_cells_that_are_wet_too_late_widen_the_early_side() -> None:
    """Half the time on the fine network: 100 s may be 50."""
    assert with_variations((90.0, 200.0), (100.0, 300.0), 0.5) == (50.0, 300.0)
    assert fine_over_coarse(None, coarse_s=None, wet_out_s=100.0) == 1.0


def test_a_plan_that_was_kept_goes_by_its_mistakes(fields: dict[str, Any], robustness_fields: dict[str, Any]) -> None:
    """Its variations do not say how long the order takes there as planned; mistakes are played on the same cells."""
    plan = plan_of(fields, robustness_fields, None)
    mistakes = {"late_by_s": 300.0, "coarse_cell_mm": 121.0, "coarse_wet_out_s": 2_400.0, "statement": "Played."}
    kept = PlanDocument.model_validate(plan.model_dump() | {"mistakes": mistakes | {"results": [], "close": []}})
    assert wet_out_range(kept)[1] == pytest.approx(1.2 * P95_S)


def test_mistakes_are_held_against_the_same_slow_case(
    fields: dict[str, Any], robustness_fields: dict[str, Any]
) -> None:
    """What the sheet takes off the limit is what a mistake comes on top of."""
    plan = plan_of(fields, robustness_fields, 2_880.0 / 1.16)
    runs = tuple(SimpleNamespace(wet_out_s=time_s) for time_s in plan.spread_wet_out_s)
    chosen = SimpleNamespace(run=SimpleNamespace(wet_out_s=plan.wet_out_s), spread_runs=runs)
    result: Any = SimpleNamespace(chosen=chosen)
    assert slow_wet_out_s(result, plan.robustness) == wet_out_range(plan)[1]
    assert slow_wet_out_s(result, None) == 2_900.0
    never = SimpleNamespace(chosen=SimpleNamespace(run=chosen.run, spread_runs=(SimpleNamespace(wet_out_s=math.inf),)))
    assert math.isinf(slow_wet_out_s(never, None))  # type: ignore[arg-type]


def test_the_page_of_mistakes_says_what_the_latest_first_tap_leaves(fields: dict[str, Any]) -> None:
    """Nothing, in the slow case: it is the limit less that. Where the age is counted and rules, more may be left."""
    mistakes = {"late_by_s": 300.0, "coarse_cell_mm": 100.0, "coarse_wet_out_s": 2_880.0, "statement": "Played."}
    clock = {
        "judged_by": "oldest_resin",
        "age_at_first_tap_s": 360.0,
        "least_margin_s": 900.0,
        "least_margin_at": "zone 1",
        "age_there_s": 3_240.0,
        "age_limit_there_s": 4_140.0,
        "viscosity_first_tap_mpa_s": 210.0,
        "viscosity_wet_out_mpa_s": 420.0,
        "temperatures": [],
    }
    fields["mistakes"] = mistakes | {"results": [], "close": []}
    for counted, told in ((None, True), (clock, False)):
        page = mistake_page(PlanDocument.model_validate(fields | {"gel_clock": counted}))
        assert page is not None
        assert (NOTHING_LEFT in page.no_leave) is told
