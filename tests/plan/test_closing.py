"""A line is closed to give a capped supply to another, or to let another front come up; and nowhere else."""

from __future__ import annotations

from typing import Any

import pytest

from optimiser.case.plan_document import PlanDocument, Verdict
from optimiser.case.planning import check_sequence_of_case, plan_case
from optimiser.case.read_case import Case, case_from_mapping

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


def test_the_plan_says_that_the_graph_shares_no_flow_cap(starved: PlanDocument) -> None:
    """Each line alone may have all of it there; only the network divides it."""
    assert "(there each open line may have the whole flow cap)" in starved.proof.statement


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


def test_a_line_that_was_opened_too_soon_is_closed_at_once(panels: Any) -> None:
    """Lines 1 and 3 must start, and end 100 mm short of the edges: left open, they close the bay between them. With one
    of them shut while there is still room at its ends the air goes past it, and the other sweeps the part. With three
    cells between the lines, as with 100 mm, what this order locks shows on finer cells only."""
    plan = panels.plan(rules={"start": ["1", "3"]}, rounds=1, cell_mm=50, coarse_cell_mm=50)
    (closed,) = (step for step in plan.steps if step.action == "close")
    assert plan.verdict is Verdict.VERIFIED
    assert closed.label in ("1", "3")
    assert closed.expected_at_s < 0.1 * plan.wet_out_s


LINES_Y_MM = (5, 532, 795, 895)
"""1 and 4 along both edges, 600 mm and 300 mm from the only vent; 2 and 3 are never opened and only show the resin."""


@pytest.fixture(scope="module")
def steered(panels: Any) -> Case:
    """Both edges must start: the shop has them on one tee."""
    crew = {"hands": 2, "seconds_per_action": 5}
    data = panels.data(length_mm=300, cell_mm=50, coarse_cell_mm=50, rounds=1, crew=crew, rules={"start": ["1", "4"]})
    line = data["feed_lines"][0]
    data["feed_lines"] = [
        {**line, "name": str(n), "use": "forbidden" if n in (2, 3) else "candidate", "sections": [laid(line, y_mm)]}
        for n, y_mm in enumerate(LINES_Y_MM, start=1)
    ]
    data["vents"] = [{**data["vents"][0], "name": "V", "run_mm": [[5, 600], [295, 600]]}]
    data["search"]["remedies"] = False
    return case_from_mapping(data)


def laid(line: dict[str, Any], y_mm: float) -> dict[str, Any]:
    return {**line["sections"][0], "run_mm": [[5, y_mm], [295, y_mm]], "hose_length_mm": 200}


def test_the_front_that_is_too_soon_is_stopped_and_let_go_again(panels: Any, steered: Case) -> None:
    """Left to themselves the front of 4 is at the vent after a quarter of the other's time, and shuts in what is dry
    between them. Squares of the ways, in 100 mm: 4 is shut once resin stands in 3, 1 from it, opened when it
    stands in 2, 28 from 1; then 36 - 28 = 8 are left to one front and 9 - 1 = 8 to the other, with any permeability."""
    plan = plan_case(steered, workers=1)
    turns = [(step.action, step.label, step.trigger.place) for step in plan.steps if step.expected_at_s]
    assert plan.verdict is Verdict.VERIFIED
    assert turns == [("close", "4", "3"), ("open", "4", "2"), ("clamp", "V", "V")]
    both = panels.outward(("1", "4"), ("1", "4"))[:2]
    clamp = {"action": "clamp", "label": "V", "when": {"reached": "V"}}
    left_alone = check_sequence_of_case(steered, panels.sequence([*both, clamp]), workers=1)
    assert [lock.fails for lock in left_alone.locked] == [True]
