"""Flow mesh on solid laminate, from the case to the words of plan and sheet.

A panel of the demo's plies, 1.2 m by 0.9 m, with mesh over its middle; line 2 runs along the middle, a vent along each
long edge.
"""

from __future__ import annotations

from typing import Any

import pytest

from api.cli.result_text import result_text
from optimiser.case.plan_document import PlanDocument
from optimiser.case.planning import check_sequence_of_case, read_back
from optimiser.case.read_case import Case, case_from_mapping
from optimiser.case.tool_side import tool_side_lines
from optimiser.run_sheet.html import render_html

AS_TESTED_M2 = 8e-12


def meshed_panel(
    panels: Any, *, to_edge_mm: float, through_m2: float | None = AS_TESTED_M2, on_top: bool = True
) -> Case:
    data = panels.data(process={"permeability_patchy_percent": 0})
    if through_m2 is not None:
        data["reinforcements"]["biax 600"]["permeability"]["measured"]["through_m2"] = through_m2
    plies, mesh = {"ply": "biax 600", "angle_deg": 0, "count": 8}, {"flow_mesh": "mesh"}
    data["flow_meshes"] = {"mesh": {"thickness_mm": 1.0, "porosity_percent": 85, "permeability_m2": 3.2e-9}}
    data["laminates"] = {
        "bare": {"fibre_volume_percent": 52, "layers": [plies]},
        "meshed": {"fibre_volume_percent": 52, "layers": [plies, mesh] if on_top else [mesh, plies]},
    }
    del data["cores"]
    border_mm = [[0, to_edge_mm], [1200, to_edge_mm], [1200, 900 - to_edge_mm], [0, 900 - to_edge_mm]]
    data["areas"] = [
        {"name": "edges", "laminate": "bare", "border_mm": None},
        {"name": "middle", "laminate": "meshed", "border_mm": border_mm},
    ]
    return case_from_mapping(data)


def check(panels: Any, case: Case) -> PlanDocument:
    return check_sequence_of_case(case, panels.sequence(panels.outward((), ("2",))), workers=1)


def test_plan_says_by_how_much_the_tool_side_trails(panels: Any) -> None:
    """Minutes and the lead for each area with mesh; wet-out, zones and map go by the slower side."""
    plan = check(panels, meshed_panel(panels, to_edge_mm=200))
    (middle,) = plan.tool_side
    assert (middle.area, middle.laminate) == ("middle", "meshed")
    assert middle.bag_wet_s is not None
    assert middle.wet_s is not None
    assert middle.bag_wet_s < middle.wet_s
    assert middle.trails_s is not None
    assert middle.trails_s >= middle.wet_s - middle.bag_wet_s
    under_mesh = [zone.tool_side_trails_s for zone in plan.zones if zone.laminate == "meshed"]
    assert max(trails for trails in under_mesh if trails is not None) == pytest.approx(middle.trails_s)
    assert all(zone.tool_side_trails_s is None for zone in plan.zones if zone.laminate == "bare")
    assert plan.wet_out_s == max(zone.wet_s for zone in plan.zones if zone.wet_s is not None)
    assert plan.wet_out_s == pytest.approx(max(cell_s for cell_s in plan.map.wet_s if cell_s is not None), abs=0.1)


def test_crew_and_command_line_are_told_in_minutes(panels: Any) -> None:
    """In the same words, rounded up to a tenth; a plan without mesh says nothing of it."""
    plan = check(panels, meshed_panel(panels, to_edge_mm=200))
    said = "The tool side is wet later than the bag side, by up to: middle "
    (line,) = [line for line in result_text(plan, []).split("\n") if line.startswith(said)]
    trails_s = plan.tool_side[0].trails_s or 0.0
    assert 0 <= float(line.removeprefix(said).split()[0]) - trails_s / 60 < 0.1
    assert "ALL WET waits for what is not" in line
    (longer,) = tool_side_lines(plan.model_copy(update={"tool_side": [plan.tool_side[0], plan.tool_side[0]]}))
    assert longer.count("middle") == 2
    assert (line in render_html(plan)) == (plan.verdict.value == "verified")
    bare = panels.check(panels.outward((), ("2",)))
    assert bare.tool_side == []
    assert said not in result_text(bare, [])


def test_mesh_up_to_the_vents_locks_the_tool_side_and_says_where(panels: Any) -> None:
    """The plan is refused, the place is named as the tool side, and the warning says how short to stop."""
    plan = check(panels, meshed_panel(panels, to_edge_mm=0, through_m2=1e-12))
    failing = [region for region in plan.locked if region.fails]
    assert failing
    assert all(region.near.endswith("on the tool side") for region in failing)
    assert any("on the tool side" in reason.where for reason in plan.reasons)
    near = [warning for warning in plan.warnings if "reaches to 0 mm from vent" in warning]
    assert len(near) == 2
    lead_mm = plan.tool_side[0].lead_mm
    told_mm = float(near[0].split("stop the mesh ")[1].split(" mm short")[0])
    assert lead_mm <= told_mm <= lead_mm + 5


def test_the_way_from_mesh_to_vent_is_as_drawn(panels: Any) -> None:
    """Vents 20 mm inside the long edges, cells of 100 mm; a bare strip laid over the mesh ends it."""
    case = meshed_panel(panels, to_edge_mm=47)
    assert len([one for one in read_back(case).warnings if "reaches to 27 mm from vent" in one]) == 2
    data = case.document.model_dump(mode="json")
    strip_mm = [[0, 0], [1200, 0], [1200, 61], [0, 61]]
    data["areas"].append({"name": "strip", "laminate": "bare", "border_mm": strip_mm})
    told = [one for one in read_back(case_from_mapping(data)).warnings if "reaches to" in one]
    assert [one.split("reaches to ")[1].split(",")[0] for one in told] == [
        "41 mm from vent V-NEAR",
        "27 mm from vent V-FAR",
    ]


def test_on_a_surface_the_way_from_mesh_to_vent_is_told_as_about(panels: Any) -> None:
    """Cells of a triangle surface know it to half a cell of 100 mm: mesh ends 70 mm from the vent."""
    case = meshed_panel(panels, to_edge_mm=90, through_m2=1e-12)
    data = case.document.model_dump(mode="json")
    columns, rows = 13, 10
    data["sheet"] = {
        "surface": {
            "vertices_mm": [[100 * i, 100 * j, 0] for j in range(rows) for i in range(columns)],
            "triangles": [
                corners
                for a in (columns * j + i for j in range(rows - 1) for i in range(columns - 1))
                for corners in ([a, a + 1, a + columns + 1], [a, a + columns + 1, a + columns])
            ],
        }
    }
    for each in (*data["vents"], *(section for line in data["feed_lines"] for section in line["sections"])):
        each["run_mm"] = [[*point, 0] for point in each["run_mm"]]
    told = [one for one in read_back(case_from_mapping(data)).warnings if "reaches to" in one]
    assert len(told) == 2
    for one in told:
        assert float(one.split("reaches to about ")[1].split(" mm")[0]) == pytest.approx(70, abs=50)


def test_mesh_that_stops_short_warns_of_nothing(panels: Any) -> None:
    """200 mm from the vents with a lead of less than half of it; and no assumption, as the case states a test."""
    read = read_back(meshed_panel(panels, to_edge_mm=200))
    assert not [warning for warning in read.warnings if "mesh" in warning]
    assert not [one for one in read.assumptions if one.path.endswith("through_m2")]


def test_mesh_that_does_not_lie_on_top_is_pointed_out(panels: Any) -> None:
    """Calculated all the same, as if it did."""
    read = read_back(meshed_panel(panels, to_edge_mm=200, on_top=False))
    assert len([warning for warning in read.warnings if "calculated as lying on its bag side" in warning]) == 1


def test_permeability_through_the_thickness_left_out_is_assumed_on_the_slow_side(panels: Any) -> None:
    """A hundredth of the smaller value in the plane, 9e-11 m2; listed, and the lead is the longer for it."""
    stated, left_out = (meshed_panel(panels, to_edge_mm=200, through_m2=value) for value in (AS_TESTED_M2, None))
    (listed,) = [one for one in left_out.assumptions if one.path.endswith("/measured/through_m2")]
    assert listed.value == "9e-13 m²"
    leads = [check(panels, case).tool_side[0].lead_mm for case in (stated, left_out)]
    assert leads[0] < leads[1]
    assert not [one for one in panels.case().assumptions if one.path.endswith("through_m2")]
