"""The mixes of a shot as the plan lists them, and what their own gel clocks forbid."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from optimiser.case.amounts_document import PlannedMix, ResinQuantities
from optimiser.case.plan_document import Reason
from optimiser.case.printed_minutes import minutes_down, minutes_up
from optimiser.case.quantities import made_kg
from optimiser.filling.fill_run import FillRun
from optimiser.part.shot import GelRule, Shot
from optimiser.plan.gel_judgement import age_limits_of_mixes_s, before_zero_m3, clocks_of_mixes
from optimiser.plan.mix_clocks import MixClock
from optimiser.plan.resin_clock import ResinClock
from optimiser.units import min_from_s

_NO_FASTER_S = 180.0
"""Nobody weighs, adds and stirs in the next mix sooner. Common practice, no source."""
_AS_COUNTED_S = 1.0
"""A mix begun no more than this before the run counts with it is begun as counted."""


def planned_mixes(shot: Shot, run: FillRun, clock: ResinClock, *, total_kg: float) -> list[PlannedMix]:
    """Empty: the supply is not mixed in batches. total_kg: all resin to have ready."""
    mixes, mix_kg = clocks_of_mixes(shot, run), shot.supply.mix_kg or 0.0
    made = [max(one.kg, made_kg(k, total_kg=total_kg, mix_kg=mix_kg)) for k, one in enumerate(mixes, start=1)]
    before_kg = before_zero_m3(shot) * shot.resin.density_kg_m3
    return [
        PlannedMix(
            number=number,
            resin_kg=one.kg,
            made_kg=made[number - 1],
            initiator_kg=made[number - 1] * shot.resin.initiator_fraction,
            initiator_in_at_s=one.begun_s,
            begin_at_drawn_kg=None if one.begun_at_kg is None else max(0.0, one.begun_at_kg - before_kg),
            pour_by_drawn_kg=None
            if shot.supply.mix_s is None or number == 1
            else max(0.0, one.poured_by_kg - before_kg),
            wanted_at_s=one.wanted_s,
            used_up_at_s=one.used_up_s,
            gel_limit_at_s=one.begun_s + limit_s,
        )
        for number, (one, limit_s) in enumerate(
            zip(mixes, age_limits_of_mixes_s(shot, mixes, clock), strict=True), start=1
        )
    ]


def too_large_a_mix(shot: Shot, resin: ResinQuantities) -> Iterator[str]:
    """What is left of it gels in the pot, and a pot of resin that gels grows hot (common practice, no source)."""
    if shot.supply.mix_kg is not None and shot.supply.mix_kg > resin.total_kg:
        yield (
            f"one mix of {shot.supply.mix_kg:g} kg is more than the whole shot with its reserve, "
            f"{resin.total_kg:.1f} kg: what is left over gels in the pot and may grow hot enough to smoke; mix less"
        )


def mixes_in_a_rush(shot: Shot, mixes: Sequence[PlannedMix]) -> Iterator[str]:
    """Where no minutes are stated a mix takes none, and the crew finds out in the shot that it takes some."""
    if shot.supply.mix_s is not None:
        return
    apart_s, number = min(
        ((later.wanted_at_s - one.wanted_at_s, later.number) for one, later in pairwise(mixes)), default=(math.inf, 0)
    )
    if apart_s < _NO_FASTER_S:
        yield (
            f"mix {number} is wanted {max(apart_s, 0.0):.0f} s after mix {number - 1}, and the case does not say how "
            "long one takes: time it and state minutes_per_mix; larger mixes, or more who mix, give time"
        )


def mixes_too_old(shot: Shot, run: FillRun, clock: ResinClock) -> Iterator[Reason]:
    """The run counts with an age of the first mix, which stays at the front to the end; and each may gel in its pot.

    Without the minutes of a mix only the clock from the first tap is known, and wet-out is judged by that alone.
    """
    if shot.supply.mix_s is None:
        return
    clocks, in_time = clocks_of_mixes(shot, run), run.wet_out_s <= clock.limit_s(shot.process.gel_fraction)
    limits_s = age_limits_of_mixes_s(shot, clocks, clock)
    yield from _begun_too_soon(shot, clocks[0], clock)
    stale = [
        (number, one, limit_s)
        for number, (one, limit_s) in enumerate(zip(clocks, limits_s, strict=True), start=1)
        if one.used_up_s - one.begun_s > limit_s
    ]
    oldest = shot.process.gel_rule is GelRule.OLDEST_RESIN
    if stale and (in_time or not oldest):
        number, worst, limit_s = max(stale, key=lambda row: row[1].used_up_s - row[1].begun_s)
        yield Reason(
            requirement=f"every mix is used up within {shot.process.gel_fraction:.0%} of its gel time",
            where=f"mix {number}",
            by_how_much=f"{minutes_up(worst.used_up_s - worst.begun_s)} min in the pot, limit "
            f"{minutes_down(limit_s)} min",
            remedy="smaller mixes, or fewer minutes for each",
        )


def _begun_too_soon(shot: Shot, first: MixClock, clock: ResinClock) -> Iterator[Reason]:
    """The run was played with the first mix no older than this, so with resin no thicker."""
    counted_s = clock.age_at_first_tap_s
    if shot.process.age_at_first_tap_s is None or -first.begun_s <= counted_s + _AS_COUNTED_S:
        return
    needed_min = math.ceil(min_from_s(-first.begun_s))
    yield Reason(
        requirement="the first mix is no older at the first tap than the run counts with",
        where="mix 1",
        by_how_much=f"initiator in {needed_min} min before the first tap, counted {minutes_down(counted_s)} min",
        remedy=f"age_at_first_tap_min of {needed_min} in the case; or more hands or larger mixes",
    )
