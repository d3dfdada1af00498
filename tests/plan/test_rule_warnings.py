"""Rules of the taps that ask for nothing, were not looked at, or are kept with nothing to spare: told in the plan."""

from __future__ import annotations

from typing import Any

import pytest

from optimiser.case.plan_document import PlanDocument, Verdict
from optimiser.case.planning import read_back


def named(plan: PlanDocument, path: str) -> list[str]:
    """Warnings that point to this place of the case."""
    return [one for one in plan.warnings if one.startswith(path)]


def test_a_latest_time_after_the_gel_limit_is_told_in_plan_and_readback(panels: Any) -> None:
    """Minute 200 of a shot that has to be wet by minute 62: it asks for nothing, and is more likely seconds."""
    rules = {"latest": [{"label": "1", "latest_min": 30}, {"label": "3", "latest_min": 200}]}
    for warnings in (panels.plan(rules=rules).warnings, read_back(panels.case(rules=rules)).warnings):
        (told,) = [one for one in warnings if one.startswith("/rules/latest/") and "gel limit" in one]
        assert told.startswith("/rules/latest/1/latest_min: minute 200 for line 3")


def test_a_turn_of_a_line_that_stays_shut_is_told(panels: Any) -> None:
    """The order 2, 1 in a check that leaves 1 shut; with both open nothing is said."""
    rules, start = {"order": ["2", "1"]}, ("2",)
    (told,) = named(panels.check(panels.outward(("2", "3"), start), rules=rules), "/rules/order")
    assert "1 of 2, 1 stays shut here" in told
    assert not named(panels.check(panels.outward(("2", "1", "3"), start), rules=rules), "/rules/order")


@pytest.mark.parametrize(
    ("own_start", "more", "says"),
    [
        (("1",), {"rules": {"start": ["2"]}}, "opens 1 at the start, and rules/start asks for 2"),
        (("2",), {"uses": {"3": "required"}, "without": "3"}, "leaves 3 shut, which is required"),
        (("1", "3"), {"rules": {"never_at_once": [["1", "3"]]}}, "rules/never_at_once keeps apart"),
    ],
)
def test_an_own_sequence_that_was_not_played_is_told_with_why(
    panels: Any, own_start: tuple[str, ...], more: dict[str, Any], says: str
) -> None:
    """It stands among no candidates; one that could be the plan is played, and nothing is said."""
    labels = tuple(label for label in ("1", "2", "3") if label != more.get("without"))
    own = {"schema_version": 1, "steps": panels.outward(labels, own_start)}
    layout = {"uses": more.get("uses"), "rules": {**more.get("rules", {}), "own_sequence": own}}
    plan = panels.plan(**layout)
    (told,) = named(plan, "/rules/own_sequence")
    assert says in told
    assert "your own sequence" not in [one.name for one in plan.candidates]
    free = panels.plan(rules={"own_sequence": own})
    assert not named(free, "/rules/own_sequence")


def test_a_latest_time_met_with_less_than_an_action_to_spare_is_told(panels: Any) -> None:
    """By the clock at 105 s and 15 s of work, line 1 is open at 2 min exactly; 3 min are kept easily."""
    steps = panels.by_clock({"2": 0, "1": 105, "3": 105})
    crew = {"hands": 2}
    tight = panels.check(steps, crew=crew, rules={"latest": [{"label": "1", "latest_min": 2}]})
    assert tight.verdict is Verdict.VERIFIED
    (told,) = named(tight, "/rules/latest/0")
    assert "line 1 has been opened 0 s before minute 2" in told
    assert "one action takes 15 s" in told
    easy = panels.check(steps, crew=crew, rules={"latest": [{"label": "1", "latest_min": 3}]})
    assert not named(easy, "/rules/latest")


def test_a_tap_that_is_closed_before_it_opens_is_told(panels: Any) -> None:
    """Listed open then close, but what calls for the close comes first: the tap stays open in the end."""
    steps = panels.by_clock({"2": 0, "1": 120, "3": 120})
    close = {"action": "close", "label": "3", "when": {"reached": "2", "share_percent": 1}}
    (told,) = [one for one in panels.check([*steps[:3], close, *steps[3:]]).warnings if one.startswith("close 3")]
    assert "when that tap is shut and is opened later and stays open" in told
