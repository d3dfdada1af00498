"""The tool side is waited for before the last vent is shut, on one figure."""

from __future__ import annotations

from typing import Any

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.ending import ending
from optimiser.run_sheet.html import render_html
from optimiser.run_sheet.rows import every_row, step_groups


def area(name: str, bag_wet_s: float, trails_s: float) -> dict[str, Any]:
    return {
        "area": name,
        "laminate": "solid",
        "bag_wet_s": bag_wet_s,
        "wet_s": bag_wet_s + trails_s,
        "trails_s": trails_s,
        "lead_mm": 80.0,
    }


def with_late_tool_side(fields: dict[str, Any]) -> PlanDocument:
    """The fore vent is shut last, at its earliest minute; one area is wet through long before, two are not."""
    fields["permeability_spread_percent"] = 25.0
    last_s = fields["steps"][-1]["earliest_s"] or fields["steps"][-1]["expected_at_s"]
    late = [area("skeg", last_s - 60.0, 120.0), area("chainplate", last_s - 30.0, 144.0)]
    fields["tool_side"] = [area("trunk", 60.0, 180.0), *late]
    return PlanDocument.model_validate(fields)


def test_it_stands_before_the_last_clamp_and_nowhere_else(fields: dict[str, Any]) -> None:
    """144 s and a quarter more are 3.0 minutes; after the clamp nothing draws, so nothing is waited for there."""
    plan = with_late_tool_side(fields)
    *before, last = every_row(step_groups(plan))
    assert last.action == "CLAMP"
    wait, all_wet, feeds = last.first
    assert wait.do == (
        "TOOL SIDE FIRST: bag side of the last of chainplate, skeg all wet at min _____ + 3.0 = min _____. "
        f"BEFORE THAT MINUTE DO NOT CLAMP {last.label}."
    )
    assert all_wet.do.startswith("ALL WET: seen end to end")
    assert f"EVERY FEED TAP SHUT, only then CLAMP {last.label}." in feeds.do
    assert "up to 2.4 min after the bag side; 25 % more" in wait.notes, "144 s, as on page one"
    assert not any(row.first for row in before)
    assert ending(plan).wait == ""
    page = render_html(plan)
    assert page.index("TOOL SIDE FIRST") < page.index("ALL WET: seen")


def test_with_a_vent_that_stays_open_it_is_waited_for_after_the_last_step(fields: dict[str, Any]) -> None:
    """The bag draws on through that vent."""
    fields["steps"] = [step for step in fields["steps"] if step["label"] != "V-AFT"]
    plan = with_late_tool_side(fields)
    assert not any(row.first for row in every_row(step_groups(plan)))
    assert ending(plan).wait.startswith("WAIT for the tool side: bag side of the last of trunk, chainplate, skeg")


def test_where_nothing_trails_nothing_is_waited_for(plan: PlanDocument) -> None:
    """The bag side is all there is."""
    assert not any("TOOL SIDE" in one.do for row in every_row(step_groups(plan)) for one in row.first)
    assert ending(plan).wait == ""
