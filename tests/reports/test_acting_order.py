"""What must be acted on stands first."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.reports.actions import action_for
from api.reports.groups import NOT_TO_BE_USED, WORDS, Group, group_of
from api.reports.order import acting_order, by_group
from api.reports.report_document import Answer, ReplanState, ReportItem, RunState

MakeItem = Callable[..., ReportItem]

ANSWERS: tuple[Answer, ...] = ("still_valid", "new_clock", "no_longer_valid", "better_exists", "set_aside", "open")
REPLANS: tuple[ReplanState | None, ...] = (
    *(None, "queued", "running", "verified", "not_admissible"),
    *("failed", "cancelled"),
)
RUNS: tuple[RunState, ...] = ("running", "done", "cancelled", "failed")


def ids(items: list[ReportItem]) -> list[str]:
    return [item.plan_id for item in items]


def test_the_order_is_that_of_the_planners_morning(one_of_each: list[ReportItem]) -> None:
    """Not valid without a new plan, not valid with one, no answer, better, new times, unchanged, not looked at."""
    assert ids(acting_order(one_of_each)) == [f"plan_{number:04}" for number in (8, 6, 3, 5, 7, 4, 10, 1, 2, 9)]


@pytest.mark.parametrize("answer", ["no_longer_valid", "new_clock", "still_valid"])
def test_the_smallest_margin_comes_first(make_item: MakeItem, answer: str) -> None:
    """And before it a part that never wets out, which has no margin at all."""
    items = [make_item(n, answer, margin) for n, margin in enumerate((30.0, -5.0, None, 700.0, -80.5))]
    assert [item.margin_after_s for item in acting_order(items)] == [None, -80.5, -5.0, 30.0, 700.0]


@pytest.mark.parametrize("state", [state for state in REPLANS if state != "verified"])
def test_only_a_verified_new_plan_takes_an_item_down(make_item: MakeItem, state: str | None) -> None:
    """A job that is queued, failed or found nothing leaves the part without a plan."""
    helped = make_item(1, "no_longer_valid", -900.0, replan_state="verified")
    stuck = make_item(2, "no_longer_valid", -1.0, replan_state=state)
    assert ids(acting_order([helped, stuck])) == ["plan_0002", "plan_0001"]


kinds = st.tuples(
    st.sampled_from(ANSWERS), st.sampled_from(REPLANS), st.sampled_from((None, -60.0, -60.0, 0.0, 5.5, 600.0))
)


@given(drawn=st.lists(kinds, max_size=30))
def test_any_items_are_put_in_order_and_none_is_lost(make_item: MakeItem, drawn: list[tuple[str, str, float]]) -> None:
    """Each pair of neighbours obeys the rules, equals stay as they came, and ordering twice changes nothing."""
    items = [make_item(n, answer, margin, replan_state=replan) for n, (answer, replan, margin) in enumerate(drawn)]
    ordered = acting_order(items)
    assert sorted(ids(ordered)) == ids(items)
    assert acting_order(ordered) == ordered
    for first, second in pairwise(ordered):
        ranks = rank(first), rank(second)
        assert ranks[0] <= ranks[1]
        if ranks[0] == ranks[1]:
            assert first.plan_id < second.plan_id


def rank(item: ReportItem) -> tuple[int, float]:
    """The rules as the planner wrote them down, apart from the code that sorts."""
    rules = (
        item.answer == "no_longer_valid" and item.replan_state != "verified",
        item.answer == "no_longer_valid" and item.replan_state == "verified",
        item.answer == "set_aside",
        item.answer == "better_exists",
        item.answer == "new_clock",
        item.answer == "still_valid",
        item.answer == "open",
    )
    counts = item.answer in ("no_longer_valid", "new_clock", "still_valid")
    margin = -math.inf if item.margin_after_s is None else item.margin_after_s
    return rules.index(True), margin if counts else 0.0


def test_every_group_is_there_and_has_words(one_of_each: list[ReportItem]) -> None:
    """Also the empty ones: nothing to find is an answer too."""
    assert list(by_group([])) == list(Group) == list(WORDS)
    assert [len(items) for items in by_group(one_of_each).values()] == [2, 1, 1, 1, 1, 1, 1, 1, 1]


@pytest.mark.parametrize("run", RUNS)
@pytest.mark.parametrize("replan", REPLANS)
@pytest.mark.parametrize("answer", ANSWERS)
def test_each_item_says_in_one_sentence_what_to_do(
    make_item: MakeItem, answer: Answer, replan: ReplanState | None, run: RunState
) -> None:
    """Short, and 'Do not use' exactly where the group says so; nothing to do only where nothing has changed."""
    says = action_for(answer, replan_state=replan, run_state=run)
    group = group_of(make_item(1, answer, replan_state=replan))
    assert len(says) < 100
    assert says[-1] == "."
    assert "." not in says[:-1]
    assert says.startswith("Do not use the stored sheet") == (group in NOT_TO_BE_USED)
    assert WORDS[group].heading.startswith("Do not use") == (group in NOT_TO_BE_USED)
    assert (says == "Nothing to do.") == (answer == "still_valid")


def test_a_run_that_has_ended_does_not_bid_anyone_wait() -> None:
    """What is open then stays open."""
    says = {run: action_for("open", replan_state=None, run_state=run) for run in RUNS}
    assert "wait" in says["running"]
    assert not any("wait" in says[run] for run in ("done", "cancelled", "failed"))
