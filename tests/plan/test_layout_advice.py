"""What a plan says of the layout: done as it says, the case is planned again."""

from __future__ import annotations

import math
from typing import Any

import pytest

from optimiser.case.advice_document import LayoutAdvice
from optimiser.case.plan_document import PlanDocument
from optimiser.case.planning import plan_case
from optimiser.case.read_case import case_from_mapping


def planned(data: dict[str, Any], *, gel_min: float | None = None) -> PlanDocument:
    data["search"]["remedies"] = False
    if gel_min is not None:
        data["resin"]["gel_time_points"] = [
            {"temperature_c": c, "initiator_percent": 1.5, "gel_time_min": gel_min * k} for c, k in ((20, 1), (30, 0.5))
        ]
    return plan_case(case_from_mapping(data))


def the_only(plan: PlanDocument) -> LayoutAdvice:
    (advice,) = plan.advice
    return advice


def test_lines_too_far_apart_are_named_with_the_run_that_would_do(panels: Any) -> None:
    """900 mm, a limit of three and a half minutes. Time goes with the square of the run (Darcy 1856, linear front:
    t = phi mu L2 / (2 K dp)), a twentieth off it for what else fills. At the run that is named nothing is said.
    """
    width_mm, apart_mm = 1200.0, 900.0

    def laid(run_mm: float) -> PlanDocument:
        lines = ((width_mm - run_mm) / 2, (width_mm + run_mm) / 2)
        return planned(panels.data(lines_y_mm=lines, width_mm=width_mm, length_mm=450, cell_mm=75, rounds=1), gel_min=5)

    advice = the_only(laid(apart_mm))
    assert advice.kind == "too_far_apart"
    assert advice.labels == ["1", "2"]
    assert advice.run_mm == pytest.approx(apart_mm, abs=75)
    assert advice.wet_s is not None
    assert advice.most_run_mm == pytest.approx(0.95 * advice.run_mm * math.sqrt(0.7 * 300 / advice.wet_s), abs=10)
    again = laid(advice.most_run_mm).advice
    assert "too_far_apart" not in [one.kind for one in again]


def test_of_two_edges_the_one_that_is_too_far_is_measured(panels: Any) -> None:
    """A line 150 mm from the one edge and 750 mm from the other: the far one is late, and its distance is told, to the
    middle of the last cell."""
    data = panels.data(lines_y_mm=(150,), length_mm=450, cell_mm=75, coarse_cell_mm=75, rounds=1, edge_to_edge=True)
    advice = the_only(planned(data, gel_min=10))
    assert (advice.kind, advice.labels) == ("too_far_apart", ["1"])
    assert advice.run_mm == pytest.approx(750, abs=75)


def test_one_side_alone_may_be_too_slow_where_both_are_not(panels: Any) -> None:
    """Half the run from each side takes a quarter of the time: the limit lies between the two."""
    plan = planned(panels.data(lines_y_mm=(150, 750), length_mm=450, cell_mm=75, rounds=1), gel_min=8)
    advice = the_only(plan)
    assert advice.kind == "too_wide_from_one_side"
    assert advice.wet_s is not None
    assert plan.proof.bound_s is not None
    assert plan.proof.bound_s < plan.gel_limit_s < advice.wet_s


def test_a_line_and_a_vent_that_make_no_difference(panels: Any) -> None:
    """A line 60 mm from the far edge, and a vent in the middle of an edge that has one all along, so that either of the
    two will do by itself, and not neither: the plan without that line and the added vent is verified too and hardly
    later."""
    data = panels.data(lines_y_mm=(450, 840), length_mm=450, cell_mm=75, coarse_cell_mm=75, rounds=1, mistakes=None)
    data["vents"].append({**data["vents"][0], "name": "V-MORE", "run_mm": [[225, 20]]})
    plan = planned(data)
    assert [(one.kind, one.labels) for one in plan.advice] == [
        ("line_adds_nothing", ["2"]),
        ("vent_does_nothing", ["V-NEAR"]),
        ("vent_does_nothing", ["V-MORE"]),
    ]
    says = {one.labels[0]: one.says for one in plan.advice}
    assert says["V-NEAR"].endswith("not without 2 and V-MORE too: one can stand in for another")
    without = planned(panels.data(lines_y_mm=(450,), length_mm=450, cell_mm=75, coarse_cell_mm=75, rounds=1))
    assert without.verdict == plan.verdict == "verified"
    assert without.wet_out_s <= 1.02 * plan.wet_out_s


def test_a_layout_that_is_in_use_all_over_is_left_in_peace(panels: Any) -> None:
    """And nothing of it stands in the written plan."""
    plan = panels.plan(lines_y_mm=(250, 650), length_mm=450, rounds=1, mistakes=None)
    assert "advice" not in plan.model_dump()


def test_a_line_goes_with_the_vent_on_it(panels: Any) -> None:
    """Two lines that open at the start, with a vent midway and one on line 2, which is clamped from the start: what the
    part would be without line 2 is without that vent too. Both lines are needed, and the vent on one is not."""
    data = panels.data(
        lines_y_mm=(300, 600),
        length_mm=300,
        cell_mm=75,
        coarse_cell_mm=75,
        rounds=1,
        mistakes=None,
        rules={"start": ["1", "2"]},
    )
    like = data["vents"][0]
    data["vents"] += [
        {**like, "name": "V-MID", "run_mm": [[20, 450], [280, 450]]},
        {**like, "name": "V-2", "on_line": "2", "run_mm": [[150, 600]]},
    ]
    assert [(one.kind, one.labels) for one in planned(data).advice] == [("vent_does_nothing", ["V-2"])]
