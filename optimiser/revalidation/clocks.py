"""The resin's clock before and after a change, where a plan follows the resin's age or its temperatures change."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optimiser.case.age_at_first_tap import age_taken_min, thickens
from optimiser.case.build_shot import resin_of, temperatures_of
from optimiser.case.change_document import ChangeDocument, changed_resin
from optimiser.case.process_document import TemperaturesDocument
from optimiser.case.resin_document import ResinDocument
from optimiser.errors import OutOfRangeError
from optimiser.plan.resin_clock import ResinClock, clock_of
from optimiser.revalidation.answer import CannotLookUp
from optimiser.revalidation.facts import Facts
from optimiser.units import s_from_min

_SAME = 1e-9
"""Relative: only rounding lies between."""


@dataclass(frozen=True, kw_only=True)
class Clocks:
    before: ResinClock
    now: ResinClock

    @property
    def same(self) -> bool:
        """Whether viscosity takes the same course."""
        one, other = self.before.fluidity, self.now.fluidity
        moments = np.union1d(one.time_s, other.time_s)
        thetas = np.array([[clock.theta(float(at_s)) for at_s in moments] for clock in (one, other)])
        return bool(np.allclose(thetas[0], thetas[1], rtol=_SAME, atol=0.0))

    def time_now_s(self, time_s: float) -> float:
        """When the front is where it was then: the same fluidity time."""
        return self.now.fluidity.time(self.before.fluidity.theta(time_s))


def clocks_of_change(facts: Facts, change: ChangeDocument) -> Clocks | CannotLookUp | None:
    """None: neither before nor after the change is the age followed. InputError as `changed_resin`."""
    if not follows_age(facts) and (change.resin is None or not thickens(change.resin)):
        return None
    if facts.at_each_place:
        return CannotLookUp(reason="gel is judged at each place, and how old resin comes to it goes with the run")
    resin = changed_resin(facts.resin, change)
    warmed = _temperatures(facts, change)
    if facts.temperatures and warmed != _temperatures(facts, None):
        return CannotLookUp(reason="temperatures change over the shot, and all of them move with the change")
    try:
        before = _clock(facts, facts.resin, _temperatures(facts, None))
        now = _clock(facts, resin, warmed)
    except OutOfRangeError as error:
        return CannotLookUp(reason=f"over the shot the resin's data do not reach: {error}")
    percent = change.gel_fraction_percent
    if not now.known_until(now.limit_s(facts.gel_fraction if percent is None else percent / 100.0)):
        return CannotLookUp(reason="thickening or temperatures are not known as far as the new gel limit")
    return Clocks(before=before, now=now)


def follows_age(facts: Facts) -> bool:
    """Whether anything in the case of the plan goes by the age of the resin."""
    stated = facts.age_at_first_tap_min is not None or facts.at_each_place or bool(facts.temperatures)
    return stated or thickens(facts.resin)


def _clock(facts: Facts, resin: ResinDocument, first: TemperaturesDocument) -> ResinClock:
    followed = thickens(resin) or bool(facts.temperatures)
    age_min = age_taken_min(facts.age_at_first_tap_min, followed=followed)
    return clock_of(resin_of(resin), temperatures_of(facts.temperatures or (first,)), s_from_min(age_min or 0.0))


def _temperatures(facts: Facts, change: ChangeDocument | None) -> TemperaturesDocument:
    """At the first tap."""
    mould_c = None if change is None else change.mould_temperature_c
    resin_c = None if change is None else change.resin_temperature_c
    return TemperaturesDocument(
        at_min=0.0,
        mould_temperature_c=facts.mould_temperature_c if mould_c is None else mould_c,
        resin_temperature_c=facts.resin_temperature_c if resin_c is None else resin_c,
    )
