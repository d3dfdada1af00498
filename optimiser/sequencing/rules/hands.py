"""Nobody works two taps at the same time, nor is at two manifolds."""

from __future__ import annotations

from itertools import combinations

from ortools.sat.python import cp_model

from optimiser.sequencing.asked import HANDS_FIELD
from optimiser.sequencing.decisions import Decisions
from optimiser.sequencing.zone_problem import ZoneProblem

Turn = tuple[int, cp_model.IntVar, cp_model.IntVar]
"""A line, whether somebody turns its tap on the way, and when it has been turned."""


def taps_need_hands(model: cp_model.CpModel, problem: ZoneProblem, decisions: Decisions) -> None:
    """At any time at most `hands` of the spans [turned - action, turned) of taps not turned before the shot.

    Where the crew walks, each tap is one person's, and of two that one person turns the later begins no sooner than the
    earlier has been turned plus the walk between them. Where people stand at first is theirs to choose.
    """
    if problem.action == 0 and not problem.walks:
        return
    turns = _turns(model, problem, decisions)
    spans = []
    for line, by_hand, turned in turns:
        model.add(turned >= problem.action).only_enforce_if(by_hand)
        begins = model.new_int_var(-problem.action, problem.horizon, f"begins {line}")
        spans.append(model.new_optional_interval_var(begins, problem.action, turned, by_hand, f"turns {line}"))
    more = sum((1 - given) * len(spans) for given in decisions.asked.by(HANDS_FIELD))
    model.add_cumulative(spans, [1] * len(spans), problem.hands + more)
    if problem.walks:
        _walked(model, problem, decisions, turns)


def _turns(model: cp_model.CpModel, problem: ZoneProblem, decisions: Decisions) -> list[Turn]:
    turns = []
    for line in range(problem.line_count):
        by_hand = model.new_bool_var(f"by hand {line}")
        model.add(by_hand == decisions.used[line] - decisions.at_start[line])
        turns.append((line, by_hand, decisions.opens[line]))
    return turns + [(line, decisions.closed[line], closes) for line, closes in decisions.closes.items()]


def _walked(model: cp_model.CpModel, problem: ZoneProblem, decisions: Decisions, turns: list[Turn]) -> None:
    mine = [[model.new_bool_var(f"person {who} turn {k}") for k in range(len(turns))] for who in range(problem.hands)]
    for k, (_, by_hand, _) in enumerate(turns):
        model.add(sum(person[k] for person in mine) == by_hand)
    for (k, (line, _, turned)), (j, (other, _, other_turned)) in combinations(enumerate(turns), 2):
        first = model.new_bool_var(f"turn {k} before {j}")
        between = problem.walking(line, other) + problem.action
        for person in mine:
            both = [person[k], person[j], *decisions.asked.by(HANDS_FIELD)]
            model.add(other_turned >= turned + between).only_enforce_if(*both, first)
            model.add(turned >= other_turned + between).only_enforce_if(*both, ~first)
