"""Taps that are never turned are left out of the plan: on the sheet somebody would wait for them, or turn them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from optimiser.filling.fill_run import FillRun
from optimiser.part.part import LineUse
from optimiser.part.sequence import Action, Sequence
from optimiser.plan.choose import Chooser, Report
from optimiser.plan.result import Candidate, Verified
from optimiser.plan.verify import on_full, with_spread


def without_idle_taps(
    chooser: Chooser, chosen: Verified, verified: list[Verified], tell: Report, fraction: float
) -> Verified:
    """Without the openings that come in no run of it, neither as planned nor in the spread nor on finer cells: all is
    wet before their turn. Played again: where any run is another for it, the sequence stays as it was. Clamps stay:
    each vent is told what to do with it.
    """
    shorter = None if not chosen.holds or chooser.patience.search_is_over else _shorter(chooser, chosen)
    if shorter is None:
        return chosen
    asked = Candidate(name=chosen.name, sequence=shorter, run=chosen.run, patchy_runs=(), broken="")
    played = with_spread(chooser, on_full(chooser, [asked], chooser.limits, tell, fraction)[0], tell)
    if not played.holds or len(played.runs) != len(chosen.runs) or not all(map(_same, played.runs, chosen.runs)):
        return chosen
    verified[:] = [*(one for one in verified if one.sequence != chosen.sequence), played]
    for place, one in enumerate(chooser.candidates):
        if one.sequence == chosen.sequence:
            chooser.candidates[place] = _instead(one, shorter)
    return played


def _shorter(chooser: Chooser, chosen: Verified) -> Sequence | None:
    """None: every tap of it is turned at some time, or must be."""
    on_coarse = (run for one in chooser.candidates if one.sequence == chosen.sequence for run in _coarse_runs(one))
    done = {one.index for run in (*chosen.runs, *on_coarse) for one in run.steps}
    required = {line.label for line in chooser.shot.part.feed_lines if line.use is LineUse.REQUIRED}
    idle = {
        step.label
        for index, step in enumerate(chosen.sequence.steps)
        if step.action is Action.OPEN and index not in done and step.label not in required
    }
    idle -= {step.label for index, step in enumerate(chosen.sequence.steps) if index in done}
    kept = tuple(step for step in chosen.sequence.steps if step.label not in idle or step.action is Action.CLAMP)
    return Sequence(steps=kept) if len(kept) < len(chosen.sequence.steps) else None


def _coarse_runs(one: Candidate) -> tuple[FillRun, ...]:
    return (one.run, *one.patchy_runs)


def _instead(one: Candidate, shorter: Sequence) -> Candidate:
    """What was played on the coarse network, where none of what is left out came either."""
    kept = [index for index, step in enumerate(one.sequence.steps) if step in shorter.steps]
    place = {index: new for new, index in enumerate(kept)}

    def counted(run: FillRun) -> FillRun:
        return replace(run, steps=tuple(replace(step, index=place[step.index]) for step in run.steps))

    return replace(one, sequence=shorter, run=counted(one.run), patchy_runs=tuple(map(counted, one.patchy_runs)))


def _same(run: FillRun, before: FillRun) -> bool:
    """Every place is wet when it was."""
    return run.clean == before.clean and np.allclose(run.arrival_s, before.arrival_s, rtol=1e-9, atol=0.0)
