"""A vent along the way of the front draws resin until the front is at its end: clamped sooner, or into a larger pot."""

from __future__ import annotations

from typing import Any

from optimiser.case.plan_document import PlanDocument, Verdict
from optimiser.case.planning import check_sequence_of_case, plan_case
from optimiser.case.read_case import case_from_mapping

POT = "no catch pot runs over into the pump"


def data(panels: Any, *, pot_litres: float = 0.2) -> dict[str, Any]:
    """One line along an edge, a vent along the side from near it to the far edge, and one along the far edge."""
    found: dict[str, Any] = panels.data(
        lines_y_mm=(5,),
        length_mm=300,
        width_mm=600,
        cell_mm=50,
        coarse_cell_mm=50,
        rounds=1,
        edge_to_edge=True,
        remedies=None,
    )
    found["vents"][0] |= {
        "name": "V-SIDE",
        "run_mm": [[280, 120], [280, 560]],
        "catch_pot_litres": pot_litres,
        "hose_length_mm": 300,
    }
    return found


def planned(data: dict[str, Any]) -> PlanDocument:
    return plan_case(case_from_mapping(data), workers=1)


def as_usual(panels: Any) -> Any:
    """Each vent clamped when resin stands all along it."""
    steps = [
        {"action": "open", "label": "1", "when": {"start": True}},
        *({"action": "clamp", "label": vent, "when": {"reached": vent}} for vent in ("V-SIDE", "V-FAR")),
    ]
    return panels.sequence(steps)


def test_a_vent_whose_pot_would_run_over_is_clamped_sooner(panels: Any) -> None:
    """The far vent drains what is left: no pot runs over, and no resin lost is time won. Clamped as usual, it does."""
    usual = check_sequence_of_case(case_from_mapping(data(panels)), as_usual(panels), workers=1)
    assert [one.requirement for one in usual.reasons] == [POT]
    plan = planned(data(panels))
    assert plan.verdict is Verdict.VERIFIED
    clamp = next(step for step in plan.steps if step.label == "V-SIDE")
    assert clamp.trigger.share < 1
    assert all(vent.in_catch_pot_litres <= vent.catch_pot_litres for vent in plan.vents)
    assert plan.wet_out_s < usual.wet_out_s


def test_a_pot_that_holds_it_is_offered_where_nothing_else_drains(panels: Any) -> None:
    """Without the far vent the last corner needs this one. A quarter more than what runs into the pot, up to half a
    litre; with that pot the plan is verified. Nothing else is tried: nothing is late, and nothing locks."""
    alone = data(panels)
    del alone["vents"][1]
    plan = planned(alone)
    (reason,) = plan.reasons
    drawn = plan.vents[0].in_catch_pot_litres
    assert reason.requirement == POT
    assert reason.by_how_much.endswith("litres into a pot of 0.2")
    assert plan.remedies is not None
    (pot,) = plan.remedies.found
    (edit,) = pot.edits
    assert edit.path == "/vents/0/catch_pot_litres"
    assert 1.25 * drawn <= float(edit.value) < 1.25 * drawn * 1.3 + 0.5
    assert plan.remedies.failed == []
    alone["vents"][0]["catch_pot_litres"] = edit.value
    assert planned(alone).verdict is Verdict.VERIFIED


def test_a_pot_that_holds_changes_nothing(panels: Any) -> None:
    """The usual clamp stays."""
    plan = planned(data(panels, pot_litres=1.0))
    assert plan.verdict is Verdict.VERIFIED
    assert next(step for step in plan.steps if step.label == "V-SIDE").trigger.share == 1


def test_two_faults_at_once_are_mended_together(panels: Any) -> None:
    """The line a cell in from its edge shuts the strip beside it in, and the vent's pot runs over: a vent there alone
    leaves the pot, a pot alone the lock. Both together are verified."""
    both = data(panels)
    both["feed_lines"][0]["sections"][0]["run_mm"] = [[5, 20], [295, 20]]
    del both["vents"][1]
    plan = planned(both)
    assert len(plan.reasons) == 2
    assert plan.remedies is not None
    remedy = next(one for one in plan.remedies.found if "; and a catch pot of " in one.change)
    assert [edit.path for edit in remedy.edits] == ["/vents/-", "/vents/0/catch_pot_litres"]
    assert any(f"{POT}: " in one.outcome for one in plan.remedies.failed)
