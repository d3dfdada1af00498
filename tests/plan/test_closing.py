"""A line is closed where its work is done and a capped supply is wanted elsewhere; and nowhere else."""

from __future__ import annotations

from typing import Any

import pytest

from optimiser.case.plan_document import PlanDocument, Verdict
from optimiser.case.planning import plan_case
from optimiser.case.read_case import case_from_mapping

WIDTHS_MM = [[0, 150], [600, 150], [600, 250], [650, 250], [650, 0], [1250, 0], [1250, 300], [0, 300]]
"""Two strips side by side, joined at their far edge, along which runs one vent: 150 mm from line A, 300 from line B."""


def planned(panels: Any, cap_kg_per_min: float) -> PlanDocument:
    machine = {"kind": "metering_machine", "pressure_cap_mbar_abs": 900, "flow_cap_kg_per_min": cap_kg_per_min}
    data = panels.data(length_mm=1250, width_mm=300, lines_y_mm=(20,), rounds=1, supply=machine)
    data["sheet"]["outlines"][0]["border_mm"] = WIDTHS_MM
    section = {**data["feed_lines"][0]["sections"][0], "hose_length_mm": 200}
    data["feed_lines"][0]["sections"] = [
        {**section, "name": "A", "run_mm": [[5, 155], [595, 155]]},
        {**section, "name": "B", "run_mm": [[655, 5], [1245, 5]]},
    ]
    data["vents"] = [{**data["vents"][0], "name": "V", "run_mm": [[5, 295], [1245, 295]]}]
    data["search"] |= {"cell_mm": 50, "coarse_cell_mm": 50, "remedies": False}
    return plan_case(case_from_mapping(data), workers=1)


@pytest.fixture(scope="module")
def starved(panels: Any) -> PlanDocument:
    return planned(panels, 0.05)


def test_a_line_that_only_feeds_the_vent_is_closed(starved: PlanDocument) -> None:
    """The vent must stay open until resin has come to it from B. Once A's strip is wet, what A takes of the flow goes
    through that into the vent; with A closed all of it goes to B."""
    steps = {(step.action, step.label): step for step in starved.steps}
    unclosed = next(one for one in starved.candidates if one.name == "all taps at once")
    assert starved.verdict is Verdict.VERIFIED
    assert ("close", "1-B") not in steps
    assert unclosed.admissible
    assert starved.wet_out_s < 0.95 * unclosed.wet_out_s
    reached_s = next(line.opened_at_s for line in starved.lines if line.label == "1-A")
    assert reached_s == 0 < steps["close", "1-A"].expected_at_s < starved.wet_out_s
    assert "vent V" in steps["close", "1-A"].trigger.says


def test_it_is_not_closed_where_pressure_sets_the_pace(panels: Any) -> None:
    """With four times the flow B takes what its strip lets through; A, still open, only helps at the join."""
    plan = planned(panels, 0.2)
    assert plan.verdict is Verdict.VERIFIED
    assert all(step.action != "close" for step in plan.steps)
