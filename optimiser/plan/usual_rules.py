"""What a lead would do without any calculation, played to its end: the plan has to say why it differs."""

from __future__ import annotations

from optimiser.filling.many_runs import Task
from optimiser.plan.choose import Chooser, Report
from optimiser.plan.joined_moves import ACROSS_VENTS
from optimiser.plan.merit import rank
from optimiser.plan.result import Candidate, Verified
from optimiser.plan.rules_of_taps import broken_rule
from optimiser.plan.scenes import FULL
from optimiser.sequencing.by_hand import ALL_AT_ONCE

_OUTWARD, _OWN = "outward on reach", "your own"


def usual_rules(chooser: Chooser, verified: list[Verified], tell: Report) -> tuple[Verified, ...]:
    """On the full network: the user's own sequence, outward from the line where that is fastest, all taps at once.

    Common practice, no source: start in the middle and open each line when the resin reaches it.
    """
    known = {one.sequence: one for one in verified}
    usual = _usual(chooser.candidates)
    fresh = [one for one in usual if one.sequence not in known]
    tasks = [Task(scene=FULL, sequence=one.sequence, limits=chooser.limits) for one in fresh]
    runs = chooser.runner.run(
        tasks, each=lambda done: tell("playing the usual rules", 0.96 + 0.02 * done / len(tasks), None)
    )
    for one, run in zip(fresh, runs, strict=True):
        known[one.sequence] = Verified(
            name=one.name,
            sequence=one.sequence,
            run=run,
            spread_runs=(),
            broken=broken_rule(chooser.shot, one.sequence, run),
            margin_s=chooser.near[FULL].margin_s(run),
        )
    return tuple(known[one.sequence] for one in usual)


def _usual(candidates: list[Candidate]) -> list[Candidate]:
    """Whether they lock anything or not."""
    own = [one for one in candidates if one.name.startswith(_OWN)]
    outward = [one for one in candidates if one.name.startswith(_OUTWARD) and not one.name.endswith(ACROSS_VENTS)]
    at_once = [one for one in candidates if one.name == ALL_AT_ONCE]
    return [*own, *sorted(outward, key=rank)[:1], *at_once]
