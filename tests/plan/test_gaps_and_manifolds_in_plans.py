"""Resin that goes where nobody wants it, and resin that is old before the first tap, are told or refused."""

from __future__ import annotations

from typing import Any

import pytest

from optimiser.case.plan_document import PlanDocument, Verdict
from optimiser.case.planning import check_sequence_of_case
from optimiser.case.read_case import case_from_mapping

LABELS = ("1", "2", "3")


def played(panels: Any, data: dict[str, Any]) -> PlanDocument:
    return check_sequence_of_case(case_from_mapping(data), panels.sequence(panels.outward(LABELS, ("2",))))


@pytest.mark.parametrize(("litres", "refused"), [(0.5, False), (200, True)])
def test_a_machine_that_fills_its_manifold_past_the_latest_tap_is_refused(
    panels: Any, litres: float, refused: bool
) -> None:
    """200 litres of 1080 kg/m3 at 2 kg/min take 108 min, and the gel limit is minute 63."""
    machine = {
        "kind": "metering_machine",
        "flow_cap_kg_per_min": 2,
        "pressure_cap_mbar_abs": 1013,
        "manifold_height_mm": 0,
        "manifold_volume_litres": litres,
    }
    plan = played(panels, panels.data(supply=machine))
    told = [reason for reason in plan.reasons if "manifold are full" in reason.requirement]
    assert [reason.by_how_much.startswith("108 min at the flow cap") for reason in told] == [True] * refused
    assert (plan.verdict is Verdict.NOT_ADMISSIBLE) is refused


def gap(run_mm: list[list[float]], width_mm: float) -> dict[str, Any]:
    return {"name": "edge", "run_mm": run_mm, "width_mm": width_mm, "depth_mm": 14}


def test_a_gap_that_stays_a_channel_of_air_is_named(panels: Any) -> None:
    """It lies beyond a vent that is clamped when resin stands in it; what is bought for it is not drawn."""
    data = panels.data()
    data["race_tracks"] = [gap([[0, 0], [1200, 0]], 10)]
    for vent in data["vents"]:
        vent["run_mm"] = [[x_mm, min(max(y_mm, 20), 880)] for x_mm, y_mm in vent["run_mm"]]
    (told,) = [one for one in played(panels, data).warnings if one.startswith("gap edge")]
    assert "stays a channel of air" in told
    assert not any(one.startswith("gap edge") for one in played(panels, panels.data()).warnings)


def test_a_joint_inside_the_part_that_stays_a_channel_of_air_fails_it(panels: Any) -> None:
    """4.8 litres wide open in the last bay do not fill before the vent is clamped; 3 by 14 mm do. At an edge the same
    air lies beside the part."""
    refused = {}
    for width_mm, depth_mm, y_mm in ((100, 60, 620), (3, 14, 620), (100, 60, 900)):
        data = panels.data(cell_mm=50, coarse_cell_mm=50)
        joint = {"name": "joint", "run_mm": [[200, y_mm], [1000, y_mm]], "width_mm": width_mm, "depth_mm": depth_mm}
        data["race_tracks"] = [joint]
        found = [one for one in played(panels, data).reasons if one.requirement.startswith("no gap inside the part")]
        refused[width_mm, y_mm] = [(one.where, one.by_how_much) for one in found]
    assert refused[3, 620] == refused[100, 900] == []
    ((where, how_much),) = refused[100, 620]
    assert where == "gap joint, x 0.60 m, y 0.62 m"
    assert how_much == "up to 4.8 litres of it never stand full"


def test_a_gap_from_a_line_to_a_vent_that_drinks_the_resin_is_told(panels: Any) -> None:
    """A slit of 10 by 14 mm from edge to edge carries thousands of times what the laminate does."""
    data = panels.data()
    assert not any("lead straight to a vent" in one for one in played(panels, data).warnings)
    data["race_tracks"] = [gap([[600, 0], [600, 900]], 10)]
    data["vents"] = [{**vent, "catch_pot_litres": 200} for vent in data["vents"]]
    plan = played(panels, data)
    assert any("lead straight to a vent" in one for one in plan.warnings)
    assert plan.resin.drawn_into_vents_kg > 0.5 * (plan.resin.laminate_kg + plan.resin.core_kg)


def test_what_is_bled_comes_out_of_the_mixes_too(panels: Any) -> None:
    """All that is drawn, the manifold filled before and as much let through it to the first mark, and one manifold more
    for each tap that opens later."""
    mixes = {
        "kind": "mixes",
        "mix_kg": 2,
        "minutes_per_mix": 2,
        "surface_height_mm": 0,
        "manifold_volume_litres": 1,
        "bled_before_each_tap": True,
    }
    process = {"gel_judged_by": "each_place", "age_at_first_tap_min": 10}
    data = panels.data(process=process)
    data["supply"] = mixes
    plan = played(panels, data)
    manifold_kg = 1.08
    assert plan.resin.bled_kg == pytest.approx(2 * manifold_kg)
    mixed_kg = sum(one.resin_kg for one in plan.mixes)
    assert mixed_kg == pytest.approx(plan.consumption.drawn_kg[-1] + 4 * manifold_kg, abs=1e-3)
    for mix in plan.mixes[1:]:  # filled once, let through once more to the first mark, and a tenth of a mix is left
        in_container_kg = (mix.number - 1) * 2 - 2 * manifold_kg - (mix.pour_by_drawn_kg or 0.0)
        assert in_container_kg == pytest.approx(0.2) or mix.pour_by_drawn_kg == 0.0
