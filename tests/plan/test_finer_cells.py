"""What the chosen sequence does must not hang on where the borders of cells lie: it is played on half the size too."""

from __future__ import annotations

import re
from typing import Any

import pytest

from optimiser.case.plan_document import PlanDocument, Verdict
from optimiser.case.planning import check_sequence_of_case, plan_case
from optimiser.case.read_back import read_back
from optimiser.case.read_case import Case, case_from_mapping
from optimiser.plan import finer_cells as file
from optimiser.plan.plan_shot import check_shot

APART_M, CELL_M = 0.2, 0.05
ON_FINER = "no region may be cut off from its vent on cells of half the size"
TOGETHER = ("1", "2")
CLAMP_MIDDLE = {"action": "clamp", "label": "V-MID", "when": {"reached": "V-MID"}}


def four_cells_apart(panels: Any, *, vent_between: bool = False, **layout: Any) -> Case:
    """Two lines with exactly four cells between them, that end a cell short of the edge."""
    data = panels.data(length_mm=600, width_mm=800, lines_y_mm=(300, 500), cell_mm=50, coarse_cell_mm=50, **layout)
    for line in data["feed_lines"]:
        ((_, y_mm), _) = line["sections"][0]["run_mm"]
        line["sections"][0]["run_mm"] = [[50, y_mm], [550, y_mm]]
    if vent_between:
        data["vents"].append({**data["vents"][0], "name": "V-MID", "run_mm": [[50, 400], [550, 400]]})
    return case_from_mapping(data)


def test_fronts_that_meet_on_a_border_of_cells_lock_air(panels: Any) -> None:
    """Two fronts from lines opened together meet midway, and no vent lies there: by symmetry at y 0.4 m.

    Four cells show nothing of it. The region is closed by the time at which straight fronts would have met,
    phi mu L2 / (2 K dp) over half the distance (Darcy's law and volume balance; derived), but not long before: what
    closes it is resin that runs round in the last cell before the edge.
    """
    case = four_cells_apart(panels)
    shot, sequence = case.shot, panels.sequence(panels.outward(TOGETHER, TOGETHER))
    result = check_shot(shot, sequence, workers=1)
    assert result.chosen.run.clean
    assert result.chosen.clean_in_spread
    assert result.chosen.finer_run is not None
    (lock,) = (one for one in result.chosen.finer_run.locks if one.fails)
    laminate, dp = shot.part.areas[0].laminate, shot.supply.most_pressure_pa - shot.process.vacuum_pa
    across_m3 = laminate.transmissibility_m3[1, 1]
    meet_s = laminate.pore_depth_m * result.scenes.viscosity_pa_s * (APART_M / 2) ** 2 / (2 * across_m3 * dp)
    assert (lock.x_m, lock.y_m) == pytest.approx((0.3, 0.4), abs=CELL_M / 2)
    assert set(lock.closed_by) == set(TOGETHER)
    assert 0.25 * meet_s < lock.at_s < 1.5 * meet_s
    assert not result.chosen.holds


def test_a_check_says_where_and_what_closes_it(panels: Any) -> None:
    """With the words that it has for any other lock, and what it was played on."""
    plan = check_sequence_of_case(four_cells_apart(panels), panels.sequence(panels.outward(TOGETHER, TOGETHER)))
    (reason,) = plan.reasons
    assert plan.verdict is Verdict.NOT_ADMISSIBLE
    assert reason.requirement == ON_FINER
    assert re.fullmatch(r"zone .*, x 0\.30 m, y 0\.40 m, closed by 1 and 2 at minute 0\.\d", reason.where)
    assert reason.by_how_much.endswith("litres locked in 1 place")
    assert plan.proof.finer_cells is not None
    assert (plan.proof.finer_cells.played, plan.proof.finer_cells.holds) == (True, False)
    assert plan.proof.finer_cells.cell_mm == 25


def test_a_vent_between_the_two_lines_takes_the_air(panels: Any) -> None:
    """The same lines opened together, and a vent where the fronts meet."""
    steps = [*panels.outward(TOGETHER, TOGETHER), CLAMP_MIDDLE]
    plan = check_sequence_of_case(four_cells_apart(panels, vent_between=True), panels.sequence(steps))
    assert plan.verdict is Verdict.VERIFIED
    assert plan.proof.finer_cells is not None
    assert plan.proof.finer_cells.holds


def test_the_next_sequence_is_taken(panels: Any) -> None:
    """All taps at once is the fastest that is clean on the cells asked for, and says why it is not the plan."""
    plan = plan_case(four_cells_apart(panels))
    remarks = {one.name: one.remark for one in plan.candidates}
    assert "locks a region on cells of half the size" in remarks["all taps at once"]
    assert plan.verdict is Verdict.VERIFIED
    assert plan.wet_out_s > next(one.wet_out_s for one in plan.candidates if one.name == "all taps at once")
    assert plan.proof.finer_cells is not None
    assert plan.proof.finer_cells.holds
    assert next(said for said in plan.proof.usual_rules if said.startswith("All taps at once")).count("half the size")


def test_nothing_is_admissible_where_both_must_open_together(panels: Any) -> None:
    """By a rule of the case."""
    plan = plan_case(four_cells_apart(panels, rules={"together": [list(TOGETHER)]}))
    assert plan.verdict is Verdict.NOT_ADMISSIBLE
    assert plan.reasons[0].requirement == ON_FINER


def as_chosen(plan: PlanDocument) -> dict[str, Any]:
    """Without what is said of finer cells, and the effort."""
    plain = plan.model_dump(mode="json", exclude={"effort": True, "warnings": True})
    del plain["proof"]["finer_cells"]
    return plain


def test_a_plan_that_holds_there_is_as_it_was(panels: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """Cells fine enough for their lines, twelve between: one run more, and no other digit."""
    layout = {"length_mm": 450, "width_mm": 1200, "lines_y_mm": (300, 900), "cell_mm": 50}
    played = plan_case(panels.case(**layout))
    assert played.proof.finer_cells is not None
    assert played.proof.finer_cells.holds
    monkeypatch.setattr(file, "MOST_CELLS", 0)
    without = plan_case(panels.case(**layout))
    assert without.proof.finer_cells is not None
    assert not without.proof.finer_cells.played
    assert as_chosen(played) == as_chosen(without)
    assert played.effort.network_runs > without.effort.network_runs
    assert [said for said in without.warnings if said not in played.warnings] == [
        "not played on cells of half the size, 25 mm: these would be about 864, more than 0; what shows there only "
        "may still be locked"
    ]


def test_more_cells_are_played_where_lines_are_few_cells_apart(panels: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """And the warning of coarse cells stands only where no finer ones are played."""
    monkeypatch.setattr(file, "MOST_CELLS", 100)
    assert read_back(four_cells_apart(panels)).warnings == []
    monkeypatch.setattr(file, "MOST_CELLS_WHERE_CLOSE", 100)
    coarse, left_out = read_back(four_cells_apart(panels)).warnings
    assert coarse.startswith("cells of 50 mm are coarse for lines 200 mm apart")
    assert coarse.endswith("take cells of at most 33 mm")
    assert left_out.startswith("not played on cells of half the size")
