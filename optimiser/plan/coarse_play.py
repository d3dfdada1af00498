"""Sequences judged on the coarse network: as planned, and with patchy permeability those that may still lead."""

from __future__ import annotations

from collections.abc import Callable
from itertools import islice

from optimiser.filling.fill_run import FillRun
from optimiser.part.sequence import Sequence
from optimiser.part.shot import Shot
from optimiser.plan.by_sight import goes_by_time, with_clocks
from optimiser.plan.near_lock import NearLocks
from optimiser.plan.result import Candidate
from optimiser.plan.rules_of_taps import broken_rule, called_apart
from optimiser.plan.scenes import COARSE, COARSE_SPREADS
from optimiser.sequencing.by_hand import Named

Asked = tuple[int, Sequence]
"""A scene and what is played in it."""
PlayMany = Callable[[list[Asked]], list[FillRun]]
"""One run for each, or of the first of them only, where the search has to end."""

MAY_LEAD = 1.25
"""What takes so much longer than the fastest clean sequence on the coarse network does not lead on the full one: the
two differ by less than a tenth."""
_AT_ONCE = 2
"""Tried for the fastest clean sequence together."""


def play_on_coarse(
    shot: Shot,
    fresh: list[Named],
    even: PlayMany,
    patchy: PlayMany,
    near: NearLocks,
    best_s: float,
    *,
    may_lead: float,
) -> list[Candidate]:
    """even: plays them as planned; patchy: with patchy permeability, those that take no longer than this share of the
    fastest that is clean in both; best_s: of that one so far, or infinity.
    """
    runs = even([(COARSE, one.sequence) for one in fresh])
    played = list(zip(fresh, runs, strict=False))
    clean = sorted(((one.sequence, run.wet_out_s) for one, run in played if run.clean), key=lambda pair: pair[1])
    patchy_runs = _patchy(shot, clean, patchy, best_s, may_lead)
    return [
        Candidate(
            name=one.name,
            sequence=one.sequence,
            run=run,
            patchy_runs=patchy_runs.get(one.sequence, ()),
            broken=broken_rule(shot, one.sequence, run) or called_apart(shot, one.sequence),
            margin_s=near.margin_s(run),
        )
        for one, run in played
    ]


def _patchy(
    shot: Shot, clean: list[tuple[Sequence, float]], play: PlayMany, best_s: float, may_lead: float
) -> dict[Sequence, tuple[FillRun, ...]]:
    """clean: fastest first, each with its wet-out."""
    out: dict[Sequence, tuple[FillRun, ...]] = {}
    while near := [one for one in clean if one[1] <= may_lead * best_s]:
        now = near if best_s < float("inf") else near[:_AT_ONCE]
        clean = [one for one in near if one not in now]
        asked = [_otherwise(shot, sequence) for sequence, _ in now]
        runs = iter(play([one for each in asked for one in each]))
        for (sequence, wet_out_s), each in zip(now, asked, strict=True):
            out[sequence] = tuple(islice(runs, len(each)))
            if len(out[sequence]) == len(each) and all(run.clean for run in out[sequence]):
                best_s = min(best_s, wet_out_s)
    return out


def _otherwise(shot: Shot, sequence: Sequence) -> list[Asked]:
    """Patchy; and where a tap goes by time, all of the laminate quicker and slower by the spread.

    Resin that is quicker by a factor is to a clock as resin as planned is to a clock that is later by that factor.
    """
    spread = shot.process.permeability_spread_fraction
    asked = [(scene, sequence) for scene in COARSE_SPREADS]
    if spread and goes_by_time(sequence):
        asked += [(COARSE, with_clocks(sequence, factor)) for factor in (1 + spread, 1 / (1 + spread))]
    return asked
