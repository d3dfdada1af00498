"""Pairs of lines that are never open at the same time: the one that opens first hands over to the other."""

from __future__ import annotations

from ortools.sat.python import cp_model

from optimiser.sequencing.asked import HANDS_FIELD, PAIRS_FIELD
from optimiser.sequencing.decisions import Decisions
from optimiser.sequencing.zone_problem import ZoneProblem


def pairs_kept_apart(model: cp_model.CpModel, problem: ZoneProblem, decisions: Decisions) -> None:
    """closes_a = min over partners b that open after a of (opens_b - hand-over); no two partners open at once.

    A line without such a partner stays open. closes_a >= opens_a + action, and + 1.
    """
    least = max(problem.action, 1)
    for line, partners in problem.partners.items():
        used, opens = decisions.used[line], decisions.opens[line]
        closes, closed = decisions.closes[line], decisions.closed[line]
        befores, ends = [], []
        for other in partners:
            asked = _asked(problem, decisions, line, other)
            before, ends_it = _before(model, decisions, line, other), model.new_bool_var(f"{line} ends for {other}")
            for gap, where in _hand_overs(problem, decisions, line, other):
                shut = decisions.opens[other] - gap
                model.add(closes <= shut).only_enforce_if(before, *asked, *where)
                model.add(closes == shut).only_enforce_if(ends_it, *where)
            for needed in (before, *asked):
                model.add_implication(ends_it, needed)
            model.add_bool_or(closed).only_enforce_if(before, *asked)
            befores.append(before)
            ends.append(ends_it)
        model.add_bool_or(ends).only_enforce_if(closed)
        model.add(closes == problem.horizon).only_enforce_if(~closed)
        model.add(closes >= opens + least).only_enforce_if(closed)
        model.add_implication(closed, used)
    for one, other in problem.apart:
        model.add(decisions.opens[one] != decisions.opens[other]).only_enforce_if(
            decisions.used[one], decisions.used[other], *_asked(problem, decisions, one, other)
        )


def _hand_overs(
    problem: ZoneProblem, decisions: Decisions, line: int, other: int
) -> list[tuple[int, tuple[cp_model.LiteralT, ...]]]:
    """How long the hand-over takes, and where that holds: with more hands it takes no longer than a walk."""
    gap, with_more = problem.hand_over(line, other), problem.longest_walk
    if gap == with_more:
        return [(gap, ())]
    hands = decisions.asked.by(HANDS_FIELD)
    return [(gap, hands), *((with_more, (~given,)) for given in hands)]


def _asked(problem: ZoneProblem, decisions: Decisions, one: int, other: int) -> tuple[cp_model.IntVar, ...]:
    place = next(k for k, pair in enumerate(problem.apart) if set(pair) == {one, other})
    return decisions.asked.by(f"{PAIRS_FIELD}/{place}")


def _before(model: cp_model.CpModel, decisions: Decisions, line: int, other: int) -> cp_model.IntVar:
    """Whether both are used and the line opens before the other."""
    before = model.new_bool_var(f"{line} before {other}")
    both = [decisions.used[line], decisions.used[other]]
    for used in both:
        model.add_implication(before, used)
    model.add(decisions.opens[line] < decisions.opens[other]).only_enforce_if(before)
    model.add(decisions.opens[line] >= decisions.opens[other]).only_enforce_if(*both, ~before)
    return before
