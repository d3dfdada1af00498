"""The best so far, changed: taps turned sooner, lines closed on the way, vents left out. Each change has to win."""

from __future__ import annotations

from optimiser.part.sequence import Sequence
from optimiser.plan.by_sight import goes_by_sight
from optimiser.plan.choose import Chooser
from optimiser.plan.closing_moves import closing_moves
from optimiser.plan.group_moves import groups_by_their_first
from optimiser.plan.hand_made import in_turn
from optimiser.plan.merit import merit
from optimiser.plan.result import Candidate
from optimiser.plan.scenes import COARSE
from optimiser.plan.sooner_moves import sooner_moves
from optimiser.plan.steering_moves import steering_moves
from optimiser.sequencing.by_hand import Named
from optimiser.sequencing.triggers import idle_vents, without_vent

_WORTH_IT = 0.01
"""A tap more to turn, or turned while nothing is to be seen at it, must win this share of the time, or of the air."""

_MOST_ON_REACH = 2


def open_sooner(chooser: Chooser, chosen: Sequence, phase: str, at: float) -> bool:
    """Turn the taps of what was chosen, and of orders on reach, before resin is there; for where nothing that waits
    for it holds in time.

    Of what wins by it the crew is told by what it sees, where that does as well. Returns whether anything won.
    """
    shot, coarse, before = chooser.shot, chooser.scenes.coarse, len(chooser.candidates)
    best = next(one for one in chooser.candidates if one.sequence == chosen)
    on_reach = [one for one in sorted(chooser.candidates, key=merit) if one.name.startswith("outward on reach")]
    moves = [
        move
        for one in (best, *on_reach[:_MOST_ON_REACH])
        for move in sooner_moves(coarse, one.name, one.sequence, one.run)
    ]
    chooser.play(in_turn(shot, moves), phase, (at, at))
    by_clock = min(chooser.candidates[before:], key=merit, default=best)
    if _wins(by_clock, best):
        chooser.tell_by_sight(by_clock, phase, at)
    won = [one for one in chooser.candidates[before:] if _wins(one, best)]
    as_well = [one for one in won if goes_by_sight(one.sequence) and not _wins(by_clock, one)]
    chooser.candidates[before:] = as_well or won
    return bool(won)


def open_groups_sooner(chooser: Chooser, phase: str, at: float) -> None:
    """Play what tears a group apart with the group called for by the first of it; what is no faster for it than the
    best is forgotten. With the group waiting for the last of it, each was played when it was found to be torn.

    What locks here may be clean on the full network, but not where variations are asked for: they are counted here.
    """
    shot, before, most_s = chooser.shot, len(chooser.candidates), chooser.best_s_or_inf()
    moves = groups_by_their_first(shot.rules.together, chooser.candidates)
    chooser.play(in_turn(shot, moves), phase, (at, at), may_lead=1.0)
    faster = [
        one
        for one in chooser.candidates[before:]
        if one.run.wet_out_s < most_s and (one.clean or shot.scatter is None)
    ]
    chooser.candidates[before:] = faster
    for one in faster:
        chooser.tell_by_sight(one, phase, at)


def close_lines(chooser: Chooser, phase: str, at: float) -> None:
    """Play sequences with lines closed; what is not clean for it, or gains too little, is forgotten."""
    before, most_s = len(chooser.candidates), (1 - _WORTH_IT) * chooser.best_s_or_inf()
    chooser.play(_closings(chooser), phase, (at, at), may_lead=1 - _WORTH_IT)
    chooser.candidates[before:] = [
        one for one in chooser.candidates[before:] if one.clean and one.run.wet_out_s <= most_s
    ]


def leave_out_vents(chooser: Chooser, phase: str, at: float) -> None:
    """Clamp vents at the start, one after the other, as long as the best is no slower for it."""
    for _ in chooser.shot.part.vents:
        best = chooser.best()
        if best is None:
            return
        idle = idle_vents(best.sequence)
        fewer = [
            Named(name=f"{best.name}, without vent {label}", sequence=without_vent(best.sequence, label))
            for label in chooser.vents_to_choose()
            if label not in idle
        ]
        chooser.play(fewer, phase, (at, at))
        if chooser.best() is best:
            return


def _wins(one: Candidate, other: Candidate) -> bool:
    """By what is locked, else by time that is worth it."""
    if (bool(one.broken), not one.clean) != (bool(other.broken), not other.clean):
        return merit(one) < merit(other)
    if one.clean:
        return one.run.wet_out_s < (1 - _WORTH_IT) * other.run.wet_out_s
    return one.locked_m3 < (1 - _WORTH_IT) * other.locked_m3


def _closings(chooser: Chooser) -> list[Named]:
    """Lines closed where that gains something.

    Where nothing is clean, those that shut air in, until the other front has come up; where the supply is capped, or
    loses pressure before the manifold, those whose work is done.
    """
    best, shot = chooser.best(), chooser.shot
    if best is None:
        least = min(chooser.candidates, key=merit, default=None)
        if least is None:
            return []
        return in_turn(shot, steering_moves(chooser.scenes.coarse, least.name, least.sequence, least.run))
    if not (best.run.capped or shot.supply.hose_conductance_m3 is not None):
        return []
    worth_s = _WORTH_IT * best.run.wet_out_s
    moves = closing_moves(chooser.scenes.all[COARSE], best.name, best.sequence, best.run, worth_s=worth_s)
    return in_turn(shot, moves)
