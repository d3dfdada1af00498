"""Pairs of lines that are never open at the same time."""

from __future__ import annotations

from typing import Any

from optimiser.sequencing.rules.apart import pairs_kept_apart
from optimiser.sequencing.rules.wetting import zones_wet_by_first_line


def test_lines_of_no_pair_may_open_together(one_rule: Any) -> None:
    """Trivial: no pair, another pair, or one of the pair stays shut."""
    for apart, opens in (((), {0: 0, 1: 0}), (((0, 2),), {0: 0, 1: 0}), (((0, 1),), {0: 0, 2: 0})):
        assert one_rule.lets_pass(pairs_kept_apart, one_rule.problem(apart=apart), opens=opens)


def test_a_pair_open_at_once_or_in_too_short_a_turn_is_refused(one_rule: Any) -> None:
    """Violated: opens_a = opens_b; or closes_a = opens_b - action with one person, sooner than a has been opened and
    shut."""
    assert not one_rule.lets_pass(pairs_kept_apart, one_rule.problem(apart=((0, 1),)), opens={0: 3, 1: 3})
    slow = one_rule.problem(apart=((0, 1),), action=2)
    assert not one_rule.lets_pass(pairs_kept_apart, slow, opens={0: 1, 1: 4})


def test_the_one_that_opens_first_hands_over(one_rule: Any) -> None:
    """Respected: whichever is first; two taps of two ticks fit between the openings."""
    slow = one_rule.problem(apart=((0, 1),), action=2)
    for opens in ({0: 1, 1: 5}, {1: 1, 0: 5}):
        assert one_rule.lets_pass(pairs_kept_apart, slow, opens=opens)


def test_a_line_that_has_been_shut_wets_nothing_more(one_rule: Any) -> None:
    """Line 0 would be in zone 1 at tick 3 and is shut at tick 2, when line 1 opens and takes two ticks more."""

    def both(model: Any, problem: Any, decisions: Any) -> None:
        pairs_kept_apart(model, problem, decisions)
        zones_wet_by_first_line(model, problem, decisions)

    problem = one_rule.problem(apart=((0, 1),))
    assert one_rule.lets_pass(both, problem, opens={0: 0, 1: 2}, wet={0: 1, 1: 4})
    assert not one_rule.lets_pass(both, problem, opens={0: 0, 1: 2}, wet={0: 1, 1: 3})
    assert one_rule.lets_pass(both, one_rule.problem(), opens={0: 0, 1: 2}, wet={0: 1, 1: 3})
