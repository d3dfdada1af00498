"""What the user asks for is kept by the plan, and told where a given sequence does not keep it."""

from __future__ import annotations

from typing import Any

import pytest

from optimiser.case.plan_document import PlanDocument, Verdict
from optimiser.part.sequence import Action
from optimiser.plan.plan_shot import check_shot
from optimiser.plan.shop_rules import against_order, listed_in_order, waiting_their_turn

UNEVEN = {"length_mm": 500, "width_mm": 1100, "lines_y_mm": (250, 450, 850), "rounds": 1}
"""From line 2 resin comes to line 1 long before it comes to line 3."""
EVEN = {"length_mm": 500, "rounds": 1}


def opened_at_s(plan: PlanDocument) -> dict[str, float]:
    return {step.label: step.expected_at_s for step in plan.steps if step.action == "open"}


@pytest.mark.parametrize(
    ("panel", "order"),
    [(EVEN, ("3", "2", "1")), (UNEVEN, ("3", "1")), (UNEVEN, ("2", "3", "1"))],
)
def test_taps_open_in_the_given_order(panels: Any, panel: dict[str, Any], order: tuple[str, ...]) -> None:
    """As played, not only as listed: each tap no sooner than those before it, also where resin comes the other way."""
    plan = panels.plan(**panel, rules={"order": list(order)})
    opened = opened_at_s(plan)
    assert plan.verdict is Verdict.VERIFIED
    assert [opened[label] for label in order] == sorted(opened[label] for label in order)


def test_an_order_against_the_run_of_the_resin_is_told_by_its_seconds(panels: Any) -> None:
    """Started from line 2, line 1 is reached first; who asks for 3 before 1 hears which taps, and by how much."""
    layout = {**UNEVEN, "rules": {"order": ["3", "1"]}}
    checked = panels.check(panels.outward(("1", "2", "3"), ("2",)), **layout)
    opened = opened_at_s(checked)
    assert checked.verdict is Verdict.NOT_ADMISSIBLE
    (reason,) = checked.reasons
    assert reason.requirement == "taps open in the order 3, 1"
    assert reason.where == "3 and 1"
    assert reason.by_how_much == f"1 opens {opened['3'] - opened['1']:.0f} s before 3"


def test_the_given_lines_start_and_no_other(panels: Any) -> None:
    """Line 3 at time zero, all others later; free to choose, the plan starts elsewhere."""
    plan = panels.plan(**EVEN, rules={"start": ["3"]})
    assert plan.verdict is Verdict.VERIFIED
    assert [label for label, at in opened_at_s(plan).items() if at == 0] == ["3"]
    assert opened_at_s(panels.plan(**EVEN))["3"] > 0


def test_a_forbidden_line_stays_shut_and_a_required_one_opens(panels: Any) -> None:
    """Line 1 forbidden, line 3 required: the plan opens 3 and never 1, whose pipe still lies in the bag."""
    plan = panels.plan(**EVEN, uses={"1": "forbidden", "3": "required"})
    assert "1" not in opened_at_s(plan)
    assert "3" in opened_at_s(plan)
    line = next(line for line in plan.lines if line.label == "1")
    assert (line.opened_at_s, line.use) == (None, "forbidden")
    assert line.reached_at_s is not None, "a closed line is an empty pipe that resin fills"


def test_a_given_sequence_that_breaks_the_rules_is_told_so(panels: Any) -> None:
    """Starts from line 2 where 1 is asked for, and leaves the required line 3 shut."""
    checked = panels.check(panels.outward(("1", "2"), ("2",)), **EVEN, rules={"start": ["1"]}, uses={"3": "required"})
    assert checked.verdict is Verdict.NOT_ADMISSIBLE
    told = {reason.requirement: (reason.where, reason.by_how_much) for reason in checked.reasons}
    assert told["1 and no other line open at the start"] == ("at the start", "2 open at the start")
    assert told["every required line opens"] == ("3", "1 required line left shut")


def test_the_users_own_sequence_is_not_taken_against_the_users_own_rules(panels: Any) -> None:
    """It starts from line 2; the rules ask for line 3. The rules hold."""
    own = {"schema_version": 1, "steps": panels.by_clock({"2": 0, "3": 115, "1": 135})}
    plan = panels.plan(**EVEN, rules={"start": ["3"], "own_sequence": own})
    assert opened_at_s(plan)["3"] == 0 < opened_at_s(plan)["2"]


def test_steps_that_open_the_given_taps_are_listed_in_their_order(panels: Any) -> None:
    """The other steps keep their places, and each step its own trigger."""
    sequence = panels.sequence(panels.outward(("1", "2", "3"), ("2",)))
    listed = listed_in_order(sequence, ("3", "1"))
    assert [step.label for step in listed.steps] == ["2", "3", "1", "V-NEAR", "V-FAR"]
    assert set(listed.steps) == set(sequence.steps)
    assert listed_in_order(sequence, ()) == sequence
    assert all(step.action is Action.CLAMP for step in listed.steps[3:])


def test_a_tap_out_of_turn_waits_for_what_calls_for_the_tap_before_it(panels: Any) -> None:
    """From line 2 resin comes to 1 first; with 3 before 1 asked for, 1 is called for when 3 is, and turned after it."""
    layout = {**UNEVEN, "rules": {"order": ["3", "1"]}}
    shot, sequence = panels.case(**layout).shot, panels.sequence(panels.outward(("1", "2", "3"), ("2",)))
    result = check_shot(shot, sequence, workers=1)
    turned = waiting_their_turn(shot, sequence, result.chosen.run)
    assert [step.label for step in turned.steps] == ["2", "3", "1", "V-NEAR", "V-FAR"]
    assert [step.trigger.place for step in turned.steps[:3]] == [None, "3", "3"]
    assert against_order(shot, result.chosen.run) is not None
    again = check_shot(shot, turned, workers=1)
    assert [against_order(shot, run) for run in (again.chosen.run, *again.chosen.spread_runs)] == [None] * 6


def test_a_tap_of_the_start_is_not_made_to_wait(panels: Any) -> None:
    """Line 2 starts though it is last in the order: nothing else would begin the shot, so nothing is changed."""
    layout = {**UNEVEN, "rules": {"order": ["3", "2"]}}
    shot, sequence = panels.case(**layout).shot, panels.sequence(panels.outward(("1", "2", "3"), ("2",)))
    run = check_shot(shot, sequence, workers=1).chosen.run
    assert waiting_their_turn(shot, sequence, run) == sequence
