"""Which lines may, must and may not open; which are first; which order they keep; which open together, and by when."""

from __future__ import annotations

from typing import Any

from optimiser.sequencing.rules.lines import (
    lines_at_start,
    lines_in_given_order,
    lines_in_time,
    lines_together,
    lines_used,
)


def test_use_of_lines_is_free_where_nothing_is_said(one_rule: Any) -> None:
    """Trivial: any lines may open."""
    assert one_rule.lets_pass(lines_used, one_rule.problem(), opens={0: 0})
    assert one_rule.lets_pass(lines_used, one_rule.problem(), opens={0: 0, 1: 5, 2: 5})


def test_a_required_line_left_shut_and_a_forbidden_one_opened_are_refused(one_rule: Any) -> None:
    """Violated: used_l = 1 for required lines, 0 for forbidden ones."""
    assert not one_rule.lets_pass(lines_used, one_rule.problem(required=frozenset({1})), opens={0: 0})
    assert not one_rule.lets_pass(lines_used, one_rule.problem(forbidden=frozenset({1})), opens={0: 0, 1: 3})


def test_required_opened_and_forbidden_shut_are_let_pass(one_rule: Any) -> None:
    """Respected: the required line opens, the forbidden one does not."""
    problem = one_rule.problem(required=frozenset({1}), forbidden=frozenset({2}))
    assert one_rule.lets_pass(lines_used, problem, opens={0: 0, 1: 3})


def test_without_a_given_start_any_line_may_be_first(one_rule: Any) -> None:
    """Trivial: each line alone, and all at once."""
    for opens in ({0: 0}, {1: 0, 2: 4}, {0: 0, 1: 0, 2: 0}):
        assert one_rule.lets_pass(lines_at_start, one_rule.problem(), opens=opens)


def test_a_shot_that_nothing_starts_or_the_wrong_line_starts_is_refused(one_rule: Any) -> None:
    """Violated: some line opens at 0; with a given start exactly those do."""
    assert not one_rule.lets_pass(lines_at_start, one_rule.problem(), opens={0: 1, 1: 2})
    given = one_rule.problem(start=frozenset({0, 1}))
    assert not one_rule.lets_pass(lines_at_start, given, opens={0: 0, 1: 2})
    assert not one_rule.lets_pass(lines_at_start, given, opens={0: 0, 1: 0, 2: 0})


def test_the_given_start_is_let_pass(one_rule: Any) -> None:
    """Respected: the given lines at 0, another later."""
    given = one_rule.problem(start=frozenset({0, 1}))
    assert one_rule.lets_pass(lines_at_start, given, opens={0: 0, 1: 0, 2: 4})


def test_without_a_given_order_lines_open_in_any(one_rule: Any) -> None:
    """Trivial: forwards and backwards."""
    assert one_rule.lets_pass(lines_in_given_order, one_rule.problem(), opens={0: 0, 1: 2, 2: 4})
    assert one_rule.lets_pass(lines_in_given_order, one_rule.problem(), opens={0: 4, 1: 2, 2: 0})


def test_a_line_before_its_turn_is_refused(one_rule: Any) -> None:
    """Violated: opens_a <= opens_b for a before b, also where a line between them stays shut."""
    problem = one_rule.problem(order=(0, 1, 2))
    assert not one_rule.lets_pass(lines_in_given_order, problem, opens={0: 0, 1: 4, 2: 2})
    assert not one_rule.lets_pass(lines_in_given_order, problem, opens={0: 4, 2: 0})


def test_lines_in_their_turn_are_let_pass(one_rule: Any) -> None:
    """Respected: rising, equal, and with a line of the order left out."""
    problem = one_rule.problem(order=(0, 1, 2))
    for opens in ({0: 0, 1: 2, 2: 4}, {0: 0, 1: 0, 2: 0}, {0: 0, 2: 4}, {1: 0}):
        assert one_rule.lets_pass(lines_in_given_order, problem, opens=opens)


def test_lines_of_no_group_open_as_they_like(one_rule: Any) -> None:
    """Trivial: no group, or none of it opens."""
    assert one_rule.lets_pass(lines_together, one_rule.problem(), opens={0: 0, 1: 5})
    group = one_rule.problem(together=((frozenset({1, 2}), 0),))
    assert one_rule.lets_pass(lines_together, group, opens={0: 0})


def test_a_group_that_is_torn_apart_is_refused(one_rule: Any) -> None:
    """Violated: one opens without the other, further apart than hands need, or only one with the start."""
    group = one_rule.problem(together=((frozenset({1, 2}), 2),))
    for opens in ({0: 0, 1: 3}, {0: 0, 1: 3, 2: 6}, {0: 0, 1: 0, 2: 2}):
        assert not one_rule.lets_pass(lines_together, group, opens=opens)


def test_a_group_that_opens_as_hands_allow_is_let_pass(one_rule: Any) -> None:
    """Respected: at the start, at one tick, and as far apart as hands need."""
    group = one_rule.problem(together=((frozenset({1, 2}), 2),))
    for opens in ({1: 0, 2: 0}, {0: 0, 1: 4, 2: 4}, {0: 0, 2: 3, 1: 5}):
        assert one_rule.lets_pass(lines_together, group, opens=opens)


def test_without_a_latest_time_lines_open_when_they_like(one_rule: Any) -> None:
    """Trivial: no time, the time of another line, or the line stays shut."""
    for latest, opens in (((), {0: 0, 1: 9}), (((2, 1),), {0: 0, 1: 9}), (((1, 1),), {0: 0})):
        assert one_rule.lets_pass(lines_in_time, one_rule.problem(latest=latest), opens=opens)


def test_a_line_after_its_latest_time_is_refused(one_rule: Any) -> None:
    """Violated: opens_l > latest_l, also where it is to be there at the start."""
    assert not one_rule.lets_pass(lines_in_time, one_rule.problem(latest=((1, 4),)), opens={0: 0, 1: 5})
    assert not one_rule.lets_pass(lines_in_time, one_rule.problem(latest=((1, 0),)), opens={0: 0, 1: 1})


def test_a_line_in_time_is_let_pass(one_rule: Any) -> None:
    """Respected: at that tick and before."""
    for tick in (0, 3, 4):
        assert one_rule.lets_pass(lines_in_time, one_rule.problem(latest=((1, 4),)), opens={0: 0, 1: tick})
