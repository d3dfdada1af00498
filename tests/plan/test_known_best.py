"""Layouts whose best order is known by reasoning: it is found, verified, and as fast as the order written by hand.

The slow island without a vent and the cut-out are demos, and held to the same in tests/acceptance.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from cases import demo_case_path
from optimiser.case.plan_document import PlanDocument
from optimiser.case.planning import check_sequence_of_case
from optimiser.case.read_case import Case, case_from_mapping

LAYOUTS: dict[str, Any] = yaml.safe_load(Path(__file__).with_name("known_best.yaml").read_text("utf-8"))
VENT = {"bore_mm": 12, "hose_length_mm": 1000, "catch_pot_litres": 2}
SECOND = 1.0


@pytest.fixture(scope="module", params=LAYOUTS)
def known(request: pytest.FixtureRequest) -> dict[str, Any]:
    return dict(LAYOUTS[request.param])


@pytest.fixture(scope="module")
def case(known: dict[str, Any]) -> Case:
    return case_from_mapping(case_data(known))


@pytest.fixture(scope="module")
def plan(panels: Any, known: dict[str, Any]) -> PlanDocument:
    planned: PlanDocument = panels.plan_of(case_data(known))
    return planned


@pytest.fixture(scope="module")
def by_hand(panels: Any, case: Case, known: dict[str, Any]) -> PlanDocument:
    """The order that was reasoned out, each tap as soon as resin stands in its line."""
    steps = [{"action": "open", "label": label, "when": {"start": True}} for label in known["start"]]
    for those in known["then"]:
        steps += [{"action": "open", "label": label, "when": {"reached": label}} for label in those]
    vents = [vent.label for vent in case.shot.part.vents]
    steps += [{"action": "clamp", "label": vent, "when": {"reached": vent}} for vent in vents]
    return check_sequence_of_case(case, panels.sequence(steps))


def case_data(known: dict[str, Any]) -> dict[str, Any]:
    """The demo's data with the layout in place of its own."""
    data = dict(yaml.safe_load(demo_case_path("flat_panel").read_text("utf-8")))
    line, length, width = data["feed_lines"][0], known.get("length_mm", 300), known["width_mm"]
    data["sheet"]["outlines"][0]["border_mm"] = [[0, 0], [length, 0], [length, width], [0, width]]
    data["feed_lines"] = [
        {**line, "name": str(n), "sections": [{**line["sections"][0], "run_mm": along(y_mm, length)}]}
        for n, y_mm in enumerate(known["lines_y_mm"], 1)
    ]
    data["vents"] = [
        {**VENT, "name": f"V{n}", "run_mm": along(y_mm, length)} for n, y_mm in enumerate(known["vents_y_mm"], 1)
    ]
    data["search"] = {"cell_mm": 50, "coarse_cell_mm": 50, "most_zones": 12, "rounds": 1, "solver_effort": 0.2}
    data["search"]["mistakes"] = False
    for block in ("crew", "supply", "race_tracks"):
        if block in known:
            data[block] = known[block]
    if "smallest_lock_cm2" in known:
        data["process"]["smallest_lock_cm2"] = known["smallest_lock_cm2"]
    if "thin" in known:
        thin = data["feed_lines"][int(known["thin"]) - 1]
        thin |= {"bore_mm": 3, "hose_bore_mm": 3}
        thin["sections"][0]["hose_length_mm"] = 10_000
    if "pad_mm" in known:
        plies = {"ply": "biax 600", "angle_deg": 0, "count": 10}
        data["laminates"]["pad"] = {**data["laminates"]["sandwich"], "layers": [plies]}
        data["areas"].append({"name": "pad", "laminate": "pad", "border_mm": known["pad_mm"]})
        data["vents"].append({**VENT, "name": "V-PAD", "run_mm": known["pad_vent_mm"]})
    return data


def along(y_mm: float, length_mm: float) -> list[list[float]]:
    return [[5, y_mm], [length_mm - 5, y_mm]]


def opened(plan: PlanDocument) -> list[tuple[float, str]]:
    """Taps in the order of time."""
    return sorted((step.expected_at_s or 0.0, step.label) for step in plan.steps if step.action == "open")


def test_the_reasoned_order_is_clean(by_hand: PlanDocument, known: dict[str, Any]) -> None:
    """Or the reasoning is wrong."""
    assert by_hand.verdict == "verified", known["why"]


def test_the_order_is_found(plan: PlanDocument, known: dict[str, Any]) -> None:
    """These at the start, the others after them in the order given by thought."""
    assert plan.verdict == "verified", known["why"]
    taps = opened(plan)
    assert [label for at, label in taps if at == 0] == known["start"], known["why"]
    later = [label for at, label in taps if at > 0]
    for those in known["then"]:
        now, later = later[: len(those)], later[len(those) :]
        assert sorted(now) == sorted(those), known["why"]
    assert later == []


def test_no_slower_than_by_hand(plan: PlanDocument, by_hand: PlanDocument, known: dict[str, Any]) -> None:
    """To the second."""
    assert plan.wet_out_s is not None
    assert by_hand.wet_out_s is not None
    assert plan.wet_out_s <= by_hand.wet_out_s + SECOND, known["why"]


RACE = "a race track along one edge"


def test_a_tap_may_open_when_part_of_its_bay_is_wet(panels: Any) -> None:
    """Where resin has raced ahead along an edge, the strip behind it drains for long: the plan is faster than the order
    that waits for all of the bay, and no slower, by what is worth a bolder trigger (5 %), than any that holds and has
    one share for all taps."""
    data = case_data(dict(LAYOUTS[RACE]))
    case, plan = case_from_mapping(data), panels.plan_of(data)
    waits, *sooner = (check_sequence_of_case(case, panels.sequence(_steps_at(case, share))) for share in (100, 90, 75))
    assert plan.verdict == waits.verdict == "verified"
    assert plan.wet_out_s is not None
    assert waits.wet_out_s is not None
    assert plan.wet_out_s < 0.95 * waits.wet_out_s
    held_s = [one.wet_out_s for one in sooner if one.verdict == "verified" and one.wet_out_s is not None]
    assert held_s
    assert plan.wet_out_s <= 1.05 * min(held_s)
    says = [step.trigger.says for step in plan.steps if (step.trigger.share or 1.0) < 1]
    assert says
    assert all("along three quarters of line" in one for one in says)


def _steps_at(case: Case, percent: int) -> list[dict[str, Any]]:
    opens = [{"action": "open", "label": "1", "when": {"start": True}}]
    opens += [
        {"action": "open", "label": label, "when": {"wet_up_to": label, "share_percent": percent}} for label in "23"
    ]
    vents = [vent.label for vent in case.shot.part.vents]
    return opens + [{"action": "clamp", "label": vent, "when": {"reached": vent}} for vent in vents]
