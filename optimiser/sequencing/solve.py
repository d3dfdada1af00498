"""Solve the sequence model level by level, the same way every time."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import chain

from ortools.sat.python import cp_model

from optimiser.sequencing.build import build
from optimiser.sequencing.decisions import Decisions
from optimiser.sequencing.objective import levels
from optimiser.sequencing.read import read
from optimiser.sequencing.zone_problem import Choice, Outcome, ZoneProblem


def solve(
    problem: ZoneProblem,
    *,
    seed: int,
    effort: float,
    hint: Mapping[int, int] | None = None,
    most_s: float | None = None,
) -> Choice:
    """The best opening times on the zone graph.

    effort: deterministic time of the first level; the later ones share half as much evenly. With one worker and a
    deterministic limit equal problems give equal answers.
    most_s: by the clock, for each level; what it cuts short is not repeatable.
    hint: line -> tick, opening times known to work.
    """
    if any(all(row[z] < 0 for row in problem.arrival) for z in range(problem.zone_count)):
        return _nothing(Outcome.INFEASIBLE)
    model, decisions = build(problem)
    _hint(model, problem, decisions, hint or {})
    found: Choice | None = None
    bounds: list[int] = []
    proven, in_order = True, levels(decisions)
    for number, level in enumerate(in_order):
        (model.maximize if level.most else model.minimize)(level.value)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.catch_sigint_signal = False  # else the first solve takes Ctrl-C away for good
        solver.parameters.random_seed = seed
        # zone graphs are small: what these look for takes as long as all the rest, and finds nothing
        solver.parameters.linearization_level = solver.parameters.cp_model_probing_level = 0
        solver.parameters.max_presolve_iterations = 1
        solver.parameters.auto_detect_greater_than_at_least_one_of = False
        solver.parameters.max_deterministic_time = effort / (2 * len(in_order) - 2 if number else 1)
        if most_s is not None:
            solver.parameters.max_time_in_seconds = most_s
        status = solver.solve(model)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            if found is None:
                return _nothing(Outcome.INFEASIBLE if status == cp_model.INFEASIBLE else Outcome.NOTHING_FOUND)
            break
        reached = round(solver.objective_value)
        proven &= status == cp_model.OPTIMAL or number > 0
        bounds.append(round(solver.best_objective_bound))
        outcome = Outcome.OPTIMAL if proven else Outcome.FEASIBLE
        found = read(problem, decisions, solver, outcome, in_order, tuple(bounds))
        model.add(level.value >= reached if level.most else level.value <= reached)
        _repeat_as_hint(model, solver, decisions)
    if found is None:
        raise AssertionError("a model has at least one level")
    return found


def _nothing(outcome: Outcome) -> Choice:
    return Choice(outcome=outcome, opens=(), wet=(), wet_out=None, levels=())


def _hint(model: cp_model.CpModel, problem: ZoneProblem, decisions: Decisions, hint: Mapping[int, int]) -> None:
    """Hint whole solutions: opening times, and the wetting that follows from them."""
    if not hint:
        return
    for line in range(problem.line_count):
        model.add_hint(decisions.used[line], line in hint)
        model.add_hint(decisions.opens[line], hint.get(line, 0))
        model.add_hint(decisions.at_start[line], hint.get(line, -1) == 0)
    for zone in range(problem.zone_count):
        times = {
            line: tick + problem.arrival[line][zone] for line, tick in hint.items() if problem.arrival[line][zone] >= 0
        }
        if not times:
            continue
        first = min(times, key=lambda line: (times[line], line))
        model.add_hint(decisions.wet[zone], min(times[first], problem.horizon))
        for line in range(problem.line_count):
            if (line, zone) in decisions.wets:
                model.add_hint(decisions.wets[line, zone], line == first)


def _repeat_as_hint(model: cp_model.CpModel, solver: cp_model.CpSolver, decisions: Decisions) -> None:
    model.clear_hints()  # type: ignore[no-untyped-call]
    drawing = (each for one in decisions.drawing for each in one)
    many = (decisions.used, decisions.at_start, decisions.opens, decisions.wet, decisions.vents, drawing)
    for variable in (*chain(*many), decisions.margin):
        model.add_hint(variable, solver.value(variable))
    for variable in decisions.wets.values():
        model.add_hint(variable, solver.value(variable))
