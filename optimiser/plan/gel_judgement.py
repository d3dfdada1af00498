"""Gel against wet-out: by how much the tightest place is wet in time, and where that is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optimiser.filling.fill_run import FillRun
from optimiser.network.flow_network import FloatArray, FlowNetwork
from optimiser.part.sequence import Action
from optimiser.part.shot import GelRule, Shot, SupplyKind
from optimiser.plan.bled_before import bled_before
from optimiser.plan.mix_clocks import MixClock, mix_clocks
from optimiser.plan.resin_clock import ResinClock

_LEFT_SHARE = 0.1
"""Of a mix, left in the container when the next is poured in, so that no hose end comes free. Common practice, no
source."""


@dataclass(frozen=True, kw_only=True)
class GelJudgement:
    """Times from the first tap."""

    limit_s: float
    """When the last place must be wet: its wet-out, had the tightest place no margin left."""
    margin_s: float
    """Least over all places, limit less wet-out; negative: too late, minus infinity: never all wet."""
    node: int
    """The tightest place."""
    age_s: float
    """Of the resin that wets it, when it is wet."""
    age_limit_s: float
    """What it may be."""


def judge_gel(shot: Shot, clock: ResinClock, network: FlowNetwork, run: FillRun) -> GelJudgement:
    """By the rule of the shot. With each place by itself no margin is less than with the oldest resin everywhere.

    What a locked region keeps dry is no matter of gel, unless more than that is never wet.
    """
    fraction, arrival_s = shot.process.gel_fraction, run.arrival_s[: network.sheet_count]
    oldest_s = clock.limit_s(fraction)
    if shot.process.gel_rule is GelRule.OLDEST_RESIN or not np.isfinite(run.wet_out_s):
        node = int(np.argmax(arrival_s if np.isinf(run.wet_out_s) else np.where(np.isinf(arrival_s), 0.0, arrival_s)))
        age_s = float(arrival_s[node]) + clock.age_at_first_tap_s
        return GelJudgement(
            limit_s=oldest_s,
            margin_s=oldest_s - run.wet_out_s,
            node=node,
            age_s=age_s,
            age_limit_s=oldest_s + clock.age_at_first_tap_s,
        )
    wet = np.flatnonzero(np.isfinite(arrival_s))
    births_s = births_at_front_s(shot, clock, run)[wet]
    age_limits_s = clock.age_limit_of(births_s, fraction)
    margins_s = births_s + age_limits_s - arrival_s[wet]
    tightest = int(np.argmin(margins_s))
    margin_s = float(margins_s[tightest])
    return GelJudgement(
        limit_s=run.wet_out_s + margin_s,
        margin_s=margin_s,
        node=int(wet[tightest]),
        age_s=float((arrival_s[wet] - births_s)[tightest]),
        age_limit_s=float(age_limits_s[tightest]),
    )


def births_at_front_s(shot: Shot, clock: ResinClock, run: FillRun) -> FloatArray:
    """When the initiator went into the oldest resin that can have wetted each node; never later than that of any.

    A run says when that resin came through the manifold (`FrontTrace.entered_s`). What leaves it then is of the mix
    drawn from when as much had gone in as lies in the manifold less, or as long out of the machine by then as the first
    resin was at the first tap; bleeding makes it no older. One container counts as one mix. What stands in hose and
    manifold is as old as their filling and may come first out of any tap opened later, so that nothing is gained
    unless they hold nothing or are bled before; nor once a line is shut, since older resin then pushes on what is
    younger.
    """
    oldest_s, supply = -clock.age_at_first_tap_s, shot.supply
    stands = supply.manifold_volume_m3 > 0.0 and not supply.bled_before_each_tap
    shut = any(one.step.action is Action.CLOSE and one.done_s < run.wet_out_s for one in run.steps)
    mixes = clocks_of_mixes(shot, run)
    if mixes:
        oldest_s = min(oldest_s, mixes[0].begun_s)
    if stands or shut or supply.kind is SupplyKind.OPEN_CONTAINER:
        return np.full(run.entered_s.shape, oldest_s)
    if not mixes:
        return _into_the_manifold_s(shot, run) - clock.age_at_first_tap_s
    drawn_from = np.searchsorted([one.leaves_s for one in mixes], run.entered_s, side="right") - 1
    begun_s = np.array([oldest_s, *(one.begun_s for one in mixes[1:])])
    return np.asarray(begun_s[np.maximum(drawn_from, 0)])


def _into_the_manifold_s(shot: Shot, run: FillRun) -> FloatArray:
    """When what comes out of it into each node went in; at the first tap, what it is full of then."""
    held_m3 = shot.supply.manifold_volume_m3
    if held_m3 == 0.0:
        return run.entered_s
    injected_m3, first = np.unique(run.history.injected_m3, return_index=True)
    gone_in_m3 = np.interp(run.entered_s, run.history.time_s, run.history.injected_m3)
    return np.asarray(np.interp(gone_in_m3 - held_m3, injected_m3, run.history.time_s[first]))


def mixes_in_time(shot: Shot, clock: ResinClock, run: FillRun) -> bool:
    """Whether every mix is used up before its share of the gel time is spent.

    Where the case says no minutes of a mix there is one clock, from the first tap, and this is always so.
    """
    if shot.supply.mix_s is None:
        return True
    mixes = clocks_of_mixes(shot, run)
    limits_s = age_limits_of_mixes_s(shot, mixes, clock)
    return all(one.used_up_s - one.begun_s <= limit_s for one, limit_s in zip(mixes, limits_s, strict=True))


def age_limits_of_mixes_s(shot: Shot, mixes: tuple[MixClock, ...], clock: ResinClock) -> list[float]:
    """The share of the gel time that may be used, for each mix from its own begin."""
    begun_s = np.array([one.begun_s for one in mixes])
    return [float(each_s) for each_s in clock.age_limit_of(begun_s, shot.process.gel_fraction)]


def _bled_m3(shot: Shot, run: FillRun) -> FloatArray:
    """What has been let out of hose and manifold by each time of the run: before a tap is turned, not after."""
    bled_s = [one.done_s - shot.crew.action_s for one in run.steps if bled_before(shot, one.step)]
    count = np.searchsorted(np.sort(bled_s), run.history.time_s, side="right")
    return np.asarray(count * shot.supply.manifold_volume_m3, dtype=np.float64)


def before_zero_m3(shot: Shot) -> float:
    """Out of the container when the first tap is opened: what fills hose and manifold, and as much again let through
    them into the flush pot where they are bled by marks on it.
    """
    volume_m3 = shot.supply.manifold_volume_m3
    return 2 * volume_m3 if shot.supply.bled_before_each_tap else volume_m3


def clocks_of_mixes(shot: Shot, run: FillRun) -> tuple[MixClock, ...]:
    """The manifold is filled from the first mix before the first tap. Empty: the supply is not mixed in batches.

    How old what stands in it is then goes by no more than its filling: less may have been let through it.

    Begun soon enough for a day on which all of the part is as much more open as the case says it may be.
    """
    supply, history, density = shot.supply, run.history, shot.resin.density_kg_m3
    if supply.mix_kg is None:
        return ()
    return mix_clocks(
        time_s=history.time_s,
        drawn_kg=(history.injected_m3 + before_zero_m3(shot) + _bled_m3(shot, run)) * density,
        mix_kg=supply.mix_kg,
        mix_s=supply.mix_s or 0.0,
        fastest=1.0 + shot.process.permeability_spread_fraction,
        manifold_kg=before_zero_m3(shot) * density,
        left_share=_LEFT_SHARE,
    )
