"""Nobody works two taps at the same time."""

from __future__ import annotations

from typing import Any

from optimiser.sequencing.rules.hands import taps_need_hands


def test_taps_that_take_no_time_need_nobody(one_rule: Any) -> None:
    """Trivial: with action 0 all taps may open together; so may those of the start, done before the shot."""
    assert one_rule.lets_pass(taps_need_hands, one_rule.problem(action=0), opens={0: 2, 1: 2, 2: 2})
    assert one_rule.lets_pass(taps_need_hands, one_rule.problem(action=3), opens={0: 0, 1: 0, 2: 0})


def test_more_taps_than_hands_and_a_tap_before_the_shot_are_refused(one_rule: Any) -> None:
    """Violated: at any time at most `hands` of the spans [opens - action, opens), none of them before 0."""
    assert not one_rule.lets_pass(taps_need_hands, one_rule.problem(action=3), opens={0: 0, 1: 5, 2: 7})
    two = one_rule.problem(action=3, hands=2)
    assert not one_rule.lets_pass(taps_need_hands, two, opens={0: 5, 1: 6, 2: 7})
    assert not one_rule.lets_pass(taps_need_hands, one_rule.problem(action=3), opens={0: 0, 1: 2})


def test_taps_one_after_the_other_are_let_pass(one_rule: Any) -> None:
    """Respected: one begins when the other has been turned; two hands turn two at once."""
    assert one_rule.lets_pass(taps_need_hands, one_rule.problem(action=3), opens={0: 0, 1: 3, 2: 6})
    assert one_rule.lets_pass(taps_need_hands, one_rule.problem(action=3, hands=2), opens={0: 5, 1: 5, 2: 8})


WALKS = ((0, 2, 0), (2, 0, 2), (0, 2, 0))
"""Line 1 is two ticks away from the other two."""


def test_nobody_walks_where_all_taps_are_at_one_place(one_rule: Any) -> None:
    """Trivial: no way between them, or one person for each."""
    here = ((0, 0, 0),) * 3
    assert one_rule.lets_pass(taps_need_hands, one_rule.problem(action=1, walks=here), opens={0: 1, 1: 2, 2: 3})
    two = one_rule.problem(action=1, walks=WALKS, hands=2)
    assert one_rule.lets_pass(taps_need_hands, two, opens={0: 1, 1: 2, 2: 3})


def test_a_person_who_would_be_at_two_places_is_refused(one_rule: Any) -> None:
    """Violated: begins_j < turned_i + walk_ij for two taps of one person, there and back."""
    problem = one_rule.problem(action=1, walks=WALKS)
    assert not one_rule.lets_pass(taps_need_hands, problem, opens={0: 1, 1: 3})
    assert not one_rule.lets_pass(taps_need_hands, problem, opens={0: 1, 1: 4, 2: 6})
    assert not one_rule.lets_pass(taps_need_hands, one_rule.problem(walks=WALKS), opens={0: 1, 1: 2})


def test_taps_that_can_be_walked_to_are_let_pass(one_rule: Any) -> None:
    """Respected: the walk fits exactly; a tap of the start was turned before and costs no walk."""
    problem = one_rule.problem(action=1, walks=WALKS)
    assert one_rule.lets_pass(taps_need_hands, problem, opens={0: 1, 1: 4, 2: 7})
    assert one_rule.lets_pass(taps_need_hands, problem, opens={0: 0, 1: 1})
