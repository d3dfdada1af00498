"""The mixes of a shot as the plan lists them, and what their own gel clocks forbid."""

from __future__ import annotations

import math
from collections.abc import Iterator

from optimiser.case.amounts_document import PlannedMix
from optimiser.case.plan_document import Reason
from optimiser.filling.fill_run import FillRun
from optimiser.part.shot import Shot
from optimiser.plan.mix_clocks import mixes_of_run
from optimiser.units import min_from_s


def planned_mixes(shot: Shot, run: FillRun, limit_s: float) -> list[PlannedMix]:
    """limit_s: the share of the gel time that may be used. Empty: the supply is not mixed in batches."""
    return [
        PlannedMix(
            number=number,
            resin_kg=one.kg,
            initiator_kg=one.kg * shot.resin.initiator_fraction,
            initiator_in_at_s=one.begun_s,
            wanted_at_s=one.wanted_s,
            used_up_at_s=one.used_up_s,
            gel_limit_at_s=one.begun_s + limit_s,
        )
        for number, one in enumerate(mixes_of_run(shot, run), start=1)
    ]


def mixes_too_old(shot: Shot, run: FillRun, limit_s: float) -> Iterator[Reason]:
    """Resin at the front is from the first mix, pushed on by those after it; and each mix may gel in its pot.

    Without the minutes of a mix only the clock from the first tap is known, and wet-out is judged by that alone.
    """
    if shot.supply.mix_s is None:
        return
    clocks = mixes_of_run(shot, run)
    age_s = run.wet_out_s - clocks[0].begun_s
    if math.isfinite(run.wet_out_s) and run.wet_out_s <= limit_s < age_s:
        yield Reason(
            requirement=f"wet-out within {shot.process.gel_fraction:.0%} of the gel time of the first mix",
            where=f"mix 1, initiator in {min_from_s(-clocks[0].begun_s):.0f} min before the first tap: it stays at the "
            "front to the end",
            by_how_much=f"{min_from_s(age_s):.0f} min old at wet-out, limit {min_from_s(limit_s):.0f} min",
            remedy="more hands or larger mixes, so that less is mixed before the first tap; or a longer gel time",
        )
    stale = [(number, one) for number, one in enumerate(clocks, start=1) if one.used_up_s - one.begun_s > limit_s]
    if stale and run.wet_out_s <= limit_s:
        number, worst = max(stale, key=lambda pair: pair[1].used_up_s - pair[1].begun_s)
        yield Reason(
            requirement=f"every mix is used up within {shot.process.gel_fraction:.0%} of its gel time",
            where=f"mix {number}",
            by_how_much=f"{min_from_s(worst.used_up_s - worst.begun_s):.0f} min in the pot, limit "
            f"{min_from_s(limit_s):.0f} min",
            remedy="smaller mixes, or fewer minutes for each",
        )
