"""Looks for the smallest changes of a case that make it admissible; what it names has been played."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from optimiser.case.read_case import Case
from optimiser.case.remedies.another_line import line_midway
from optimiser.case.remedies.at_the_mould import (
    mesh_where_late,
    vents_at_locks,
    vents_where_all_at_once_locks,
    wider_bores,
)
from optimiser.case.remedies.demands_left_out import demands_left_out
from optimiser.case.remedies.ladder import Ladder, climb
from optimiser.case.remedies.on_the_day import higher_flow_cap, larger_pots
from optimiser.case.remedies.proposal import Effort, Failing, Proposal, changed, edits_of, joined
from optimiser.case.remedies.resin_settings import other_settings
from optimiser.case.remedies.split_line import starved_line_split
from optimiser.case.remedies.try_proposal import MOST_RUNS_EACH, Outcome, try_shot
from optimiser.case.remedies_document import CaseEdit, Remedies, Remedy, TriedChange
from optimiser.errors import InputError, NotConvergedError
from optimiser.filling.local_runs import LocalRuns
from optimiser.filling.many_runs import RunCarrier, usable_cores
from optimiser.plan.result import PlanResult

MOST_FOUND = 5
MOST_RUNS = 150
"""Network runs of sequences by hand, all changes together; no change is begun that could exceed them."""
_MOST_TO_CLIMB = MOST_RUNS // 2
"""Of these, so that what comes later is tried too: sizes of one change beyond the first that should do."""
_MOST_SEARCHED = 2
"""Rules left out, so many of them planned anew where no sequence by hand will do: a rule forbids what is not thought of
by hand."""


def find_remedies(
    case: Case,
    result: PlanResult,
    *,
    tell: Callable[[str, float], None],
    workers: int | None = None,
    carrier: RunCarrier | None = None,
) -> Remedies:
    """Tried in order of effort, until five do it or the runs are used up. For a plan that is not admissible.

    tell: what is tried, and the share of the runs that is used. `workers` and `carrier` change nothing in the answer.
    """
    failing = Failing(case=case, result=result)
    count = workers or usable_cores()
    own = LocalRuns(count) if carrier is None and count > 1 else None
    try:
        return _tried(failing, tell, workers, carrier or own)
    finally:
        if own is not None:
            own.close()


def _proposals(failing: Failing) -> Iterator[Proposal | Ladder]:
    """Least effort first."""
    for kind in (
        demands_left_out,
        larger_pots,
        other_settings,
        higher_flow_cap,
        vents_at_locks,
        vents_where_all_at_once_locks,
        mesh_where_late,
        starved_line_split,
        wider_bores,
        line_midway,
    ):
        yield from kind(failing)


@dataclass(kw_only=True)
class _Trials:
    """What was tried so far, and what came of it."""

    failing: Failing
    tell: Callable[[str, float], None]
    workers: int | None
    carrier: RunCarrier | None
    found: list[Remedy] = field(default_factory=list)
    failed: list[TriedChange] = field(default_factory=list)
    count: int = 0
    runs: int = 0
    searched_runs: int = 0
    searched: int = 0

    @property
    def over(self) -> str:
        """Why trying ends here; empty: it does not."""
        if len(self.found) == MOST_FOUND:
            return f"trying ended with {MOST_FOUND} that do it"
        if self.runs + MOST_RUNS_EACH > MOST_RUNS:
            return f"trying ended at the limit of {MOST_RUNS} network runs"
        return ""

    def climb(self, ladder: Ladder) -> None:
        """Of what does it the smallest is kept."""
        if any(one.effort in ladder.instead_of for one in self.found):
            return
        found: dict[int, Remedy] = {}

        def does(place: int) -> bool:
            begun = place == ladder.first or self.runs + MOST_RUNS_EACH <= _MOST_TO_CLIMB
            remedy = self._tried(ladder.rungs[place]) if begun else None
            if remedy is not None:
                found[place] = remedy
            return remedy is not None

        climb(ladder, does)
        if found:
            self.found.append(found[min(found)])

    def _tried(self, proposal: Proposal, *, with_pots: bool = False) -> Remedy | None:
        """with_pots: larger ones are in it already."""
        edits = edits_of(self.failing.case, proposal)
        if any(one.effort == proposal.effort and _same_place(one, edits) for one in self.found):
            return None
        self.tell(f"trying: {proposal.change}", self.runs / MOST_RUNS)
        self.count += 1
        try:
            shot = changed(self.failing.case, proposal).shot
            may_search = proposal.effort == Effort.RULE and self.searched < _MOST_SEARCHED
            outcome = try_shot(
                self.failing, shot, searched=may_search, workers=self.workers, carrier=self.carrier
            )
        except InputError as error:
            outcome = Outcome(fails=f"the case would be refused: {error.faults[0]}", network_runs=0)
        except NotConvergedError:
            outcome = Outcome(fails="a network run did not settle", network_runs=0)
        self.runs += outcome.network_runs
        self.searched_runs += outcome.searched_runs
        self.searched += outcome.searched_runs > 0
        if outcome.fails:
            self.failed.append(TriedChange(change=proposal.change, outcome=outcome.fails))
            pots = outcome.with_pots
            if pots is None or with_pots or self.failing.only_pots or self.over:
                return None
            return self._tried(pots if proposal.effort == Effort.POT else joined(proposal, pots), with_pots=True)
        return _remedy(proposal, edits, outcome)


def _tried(
    failing: Failing, tell: Callable[[str, float], None], workers: int | None, carrier: RunCarrier | None
) -> Remedies:
    trials, ended = _Trials(failing=failing, tell=tell, workers=workers, carrier=carrier), ""
    for one in _proposals(failing):
        ended = trials.over
        if ended:
            break
        trials.climb(one if isinstance(one, Ladder) else Ladder(rungs=(one,)))
    found, runs = trials.found, trials.runs + trials.searched_runs
    holding = sum(one.holds_when_slow for one in found)
    return Remedies(
        statement=(
            f"{_changes(trials.count)} tried one at a time with {runs} network runs, each with a few sequences written "
            f"by hand{_planned_anew(trials.searched)}; {len(found)} verified on the full network, {holding} of them in "
            f"time in the slow case of the stated spread too; "
            f"{ended or 'all changes that the program knows for such a case were tried'}."
        ),
        network_runs=runs,
        found=sorted(found, key=lambda one: not one.holds_when_slow),
        failed=trials.failed,
    )


def _changes(count: int) -> str:
    return f"{count} change{' was' if count == 1 else 's were'}"


def _planned_anew(searched: int) -> str:
    return f", {searched} of them planned anew" if searched else ""


def _same_place(found: Remedy, edits: list[CaseEdit]) -> bool:
    """Another value at places that one which does it has changed already: the smaller change was tried first."""
    return {edit.path for edit in found.edits} == {edit.path for edit in edits}


def _remedy(proposal: Proposal, edits: list[CaseEdit], outcome: Outcome) -> Remedy:
    return Remedy(
        effort=int(proposal.effort),
        change=proposal.change,
        edits=edits,
        sequence=outcome.sequence,
        wet_out_s=outcome.wet_out_s,
        gel_limit_s=outcome.limit_s,
        gel_margin_s=outcome.limit_s - outcome.wet_out_s,
        slowest_wet_out_s=outcome.slowest_s if math.isfinite(outcome.slowest_s) else None,
    )
