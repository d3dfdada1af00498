"""Which of the user's own demands cannot be kept together: the smallest set of them, by assumption literals.

The smallest set is found as the smallest set that shares a field with every set whose leaving out helps (Ignatiev,
Previti, Liffiton, Marques-Silva, "Smallest MUS extraction with minimal hitting set dualization", CP 2015, from memory).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from itertools import combinations

from ortools.sat.python import cp_model

from optimiser.sequencing.asked import GEL_FIELD, HANDS_FIELD
from optimiser.sequencing.build import build
from optimiser.sequencing.conflict_found import Conflict
from optimiser.sequencing.zone_problem import ZoneProblem

Fields = frozenset[str]

_NO_RULES: Fields = frozenset({GEL_FIELD, HANDS_FIELD})
"""What every shot has. Alone they blame the layout and the resin, not what the user asks for."""
_MOST_ROUNDS = 40
_MOST_UNDECIDED = 6
"""Sets of which neither a conflict nor an order that keeps them was found in the effort, before no more are tried."""


def find_conflict(problem: ZoneProblem, *, seed: int, effort: float) -> Conflict | None:
    """None: all can be kept together, it could not be told within the effort, or no field asks for anything.

    effort: deterministic time of one call of the solver. One worker, so that equal problems give equal answers.
    """
    demands = Demands(problem, seed=seed, effort=effort)
    if demands.fields <= _NO_RULES:
        return None
    core = demands.core(demands.fields)
    if core is None:
        return None
    fields, smallest, helps = smallest_set(demands, core)
    for field in sorted(fields):
        kept = demands.most_kept(demands.fields - {field})
        if kept is not None:
            helps.append(demands.fields - kept)
    return Conflict(
        fields=tuple(sorted(fields)),
        smallest=smallest,
        left_out=tuple(sorted({tuple(sorted(one)) for one in helps}, key=lambda one: (len(one), one))),
    )


def smallest_set(demands: Demands, core: Fields) -> tuple[Fields, bool, list[Fields]]:
    """The smallest set in conflict, whether that is proven, and sets whose leaving out was seen to help.

    A set that the effort does not decide is passed over for the next; what is found then has no field to spare that the
    solver can show, and none smaller is known.
    """
    helps: list[Fields] = []
    undecided: set[Fields] = set()
    for _ in range(_MOST_ROUNDS):
        tried = _smallest_that_meets(helps, undecided, demands.fields)
        if tried is None or (undecided and len(tried) >= len(core)):
            break
        if demands.core(tried) is not None:
            return tried, all(len(one) >= len(tried) for one in undecided), helps
        kept = demands.most_kept(tried)
        if kept is not None and kept != demands.fields:
            helps.append(demands.fields - kept)
            continue
        core = core if undecided else _without_idle(demands, core)
        undecided.add(tried)
        if len(undecided) >= _MOST_UNDECIDED:
            break
    return core if undecided else _without_idle(demands, core), False, helps


def _without_idle(demands: Demands, core: Fields) -> Fields:
    """Fields are taken out one after the other while the rest is proven to be in conflict, until none can be."""
    before: Fields | None = None
    while core != before:
        before = core
        for field in sorted(core):
            smaller = demands.core(core - {field}) if field in core else None
            core = core if smaller is None else smaller
    return core


def _smallest_that_meets(sets: list[Fields], but: Collection[Fields], of: Fields) -> Fields | None:
    """With a field in common with each of the sets; of equals the first in the order of the alphabet.

    but: sets that are passed over; their like may then hold any of the fields.
    """
    fields = sorted(of if but else frozenset().union(*sets))
    for count in range(len(fields) + 1):
        for some in map(frozenset, combinations(fields, count)):
            if some not in but and all(one & some for one in sets):
                return some
    return None


class Demands:
    """The sequence model with every demand under its literal."""

    def __init__(self, problem: ZoneProblem, *, seed: int, effort: float) -> None:
        self._model, decisions = build(problem, may_leave_out=True)
        self._literals = dict(sorted(decisions.asked.literals.items()))
        self._solver = cp_model.CpSolver()
        self._solver.parameters.num_workers = 1
        self._solver.parameters.catch_sigint_signal = False
        self._solver.parameters.random_seed = seed
        self._solver.parameters.max_deterministic_time = effort
        self.fields: Fields = frozenset(self._literals)

    def core(self, kept: Iterable[str]) -> Fields | None:
        """Those of the fields that together are proven impossible to keep; None: not proven."""
        model, of_index = self._model, {literal.index: field for field, literal in self._literals.items()}
        model.clear_assumptions()
        model.add_assumptions([self._literals[field] for field in sorted(kept)])
        if self._solver.solve(model) != cp_model.INFEASIBLE:
            return None
        return frozenset(of_index[index] for index in self._solver.sufficient_assumptions_for_infeasibility())

    def most_kept(self, kept: Iterable[str]) -> Fields | None:
        """As many fields as can be kept beside the given ones; None: those cannot be, or it was not found out."""
        model = self._model.clone()
        model.clear_assumptions()
        for field in sorted(kept):
            model.add_bool_or(self._literals[field])
        model.maximize(sum(self._literals.values()))
        if self._solver.solve(model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return None
        return frozenset(
            field for field, literal in self._literals.items() if self._solver.boolean_value(literal)
        )
