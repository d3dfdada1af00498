"""A plan that is ended early: the best sequence until then, verified, and it says so."""

from __future__ import annotations

from typing import Any

import pytest

from api.cli.result_text import result_text
from optimiser.case.plan_document import PlanDocument, Verdict
from optimiser.case.planning import Patience, plan_case
from optimiser.case.read_case import case_from_mapping
from optimiser.plan.result import Progress

PANEL = {"lines_y_mm": (250, 650), "length_mm": 450, "rounds": 1, "mistakes": None}


def stopped_at(panels: Any, phase: str) -> PlanDocument:
    """Planned, and stopped when it comes to this phase."""
    patience = Patience()

    def listen(progress: Progress) -> None:
        if progress.phase == phase:
            patience.stop()

    return plan_case(panels.case(**PANEL), progress=listen, patience=patience)


@pytest.mark.parametrize("phase", ["sequences by hand", "playing single mistakes"])
def test_stopped_wherever_it_is_a_verified_plan_comes_back(panels: Any, phase: str) -> None:
    """Never faster than the whole search finds; no round of the zone graph where it had not come to one."""
    plan, whole = stopped_at(panels, phase), panels.plan(**PANEL)
    assert plan.verdict is Verdict.VERIFIED
    assert plan.cut_short == "planning was interrupted"
    assert "planning was interrupted: this is the best sequence until then" in result_text(plan, [])
    assert plan.mistakes is None
    assert plan.wet_out_s >= whole.wet_out_s - 1.0
    assert plan.effort.network_runs < whole.effort.network_runs
    if phase != "playing single mistakes":
        assert plan.proof.rounds == []
        assert plan.proof.ended_because == "planning was interrupted"
        assert plan.proof.status == "best_found"


@pytest.fixture(scope="module")
def hurried(panels: Any) -> PlanDocument:
    return plan_case(panels.case(**PANEL), patience=Patience(0.001))


def test_a_time_limit_does_the_same(hurried: PlanDocument) -> None:
    """A thousandth of a second is over before anything is played; what is written by hand is played all the same."""
    assert hurried.verdict is Verdict.VERIFIED
    assert hurried.cut_short == "the time limit of 0.001 s came"


def test_variations_that_were_asked_for_and_left_out_are_named(panels: Any, hurried: PlanDocument) -> None:
    """Else who asked for them would look for them in vain; where none were asked for none are named."""
    data = panels.data(**PANEL)
    data["search"] |= {"scenarios": 40}
    plan = plan_case(case_from_mapping(data), patience=Patience(0.001))
    assert plan.robustness is None
    (warning,) = (one for one in plan.warnings if plan.cut_short is not None and one.startswith(plan.cut_short))
    assert "left out, also the 40 variations asked for" in warning
    assert not [one for one in hurried.warnings if "variations" in one]


def test_patience_that_is_not_needed_changes_nothing(panels: Any) -> None:
    """Byte for byte the plan without it."""
    patient = plan_case(panels.case(**PANEL), patience=Patience(3600.0))
    assert patient.model_dump_json() == panels.plan(**PANEL).model_dump_json()
    assert "cut_short" not in patient.model_dump()
