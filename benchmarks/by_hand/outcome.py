"""What became of a sequence on the full network, and which of two outcomes is worse."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import IntEnum

from optimiser.part.shot import Shot
from optimiser.plan.gel_judgement import judge_gel, mixes_in_time
from optimiser.plan.result import Verified
from optimiser.plan.scenes import Scenes
from optimiser.units import litres_from_m3

NO_SLOWER_S = 1.0
"""Wet-outs that differ by less are the same."""
_NO_MORE_LITRES = 1e-3


class Standing(IntEnum):
    """From safe to unsafe: locked comes before late."""

    ADMISSIBLE = 0
    TOO_LATE = 1
    """Nothing locked, in the stated spread neither, but wet only after the gel limit."""
    FAILS_IN_SPREAD = 2
    """Clean as planned, but not with permeability faster, slower or patchy, or not on cells of half the size."""
    NEVER_WET = 3
    LOCKS = 4

    @property
    def words(self) -> str:
        return self.name.lower().replace("_", " ")


@dataclass(frozen=True, kw_only=True)
class Outcome:
    standing: Standing
    wet_out_s: float
    """But for what locked regions keep dry; infinity: never all of it."""
    locked_litres: float
    margin_s: float
    """Gel limit less wet-out."""
    tap_actions: int

    @property
    def clean(self) -> bool:
        """As planned, whatever the spread does and whether in time or not."""
        return self.standing < Standing.NEVER_WET

    @property
    def merit(self) -> tuple[Standing, float, float]:
        """Smaller is better."""
        return (self.standing, self.locked_litres, self.wet_out_s)

    def __str__(self) -> str:
        locked = f", {self.locked_litres:.3f} litres locked" if self.locked_litres else ""
        return f"{self.standing.words}{locked}, wet-out {self.wet_out_s:.0f} s"


def outcome_of(shot: Shot, scenes: Scenes, one: Verified) -> Outcome:
    """one: with the runs in the stated spread where the run as planned is clean."""
    judged = judge_gel(shot, scenes.resin_clock, scenes.full, one.run)
    return Outcome(
        standing=_standing(one, in_time=judged.margin_s >= 0 and mixes_in_time(shot, scenes.resin_clock, one.run)),
        wet_out_s=one.run.wet_out_s,
        locked_litres=litres_from_m3(one.run.locked_pore_m3),
        margin_s=judged.margin_s,
        tap_actions=len(one.sequence.steps),
    )


def _standing(one: Verified, *, in_time: bool) -> Standing:
    if any(lock.fails for lock in one.run.locks):
        return Standing.LOCKS
    if not math.isfinite(one.run.wet_out_s):
        return Standing.NEVER_WET
    if not one.holds:
        return Standing.FAILS_IN_SPREAD
    return Standing.ADMISSIBLE if in_time else Standing.TOO_LATE


def why_worse(ours: Outcome, rule: Outcome) -> str:
    """Less safe; of two that stand alike, more litres locked, or later by more than a second. Empty: not worse."""
    if ours.standing is not rule.standing:
        return "IS LESS SAFE than" if ours.standing > rule.standing else ""
    if ours.standing is Standing.LOCKS:
        return "LOCKS MORE than" if ours.locked_litres > rule.locked_litres + _NO_MORE_LITRES else ""
    return "is as safe and LATER than" if ours.wet_out_s > rule.wet_out_s + NO_SLOWER_S else ""


def is_faster_but_fails_in_spread(rule: Outcome, ours: Outcome) -> bool:
    """What ours is slower for: the rule is clean as planned and sooner, and not with the stated spread."""
    safer = ours.standing < rule.standing is Standing.FAILS_IN_SPREAD
    return safer and rule.wet_out_s < ours.wet_out_s - NO_SLOWER_S

