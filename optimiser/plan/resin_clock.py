"""The resin's clock through a shot: how thick it is and how much of its gel time is spent, minute by minute.

Both err to the safe side. The front meets resin as old as the first mix everywhere, fresh viscosity is that of the
colder of mould and resin, and age runs at the warmer of the two.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from optimiser.filling.fluidity_time import FluidityClock
from optimiser.network.flow_network import FloatArray
from optimiser.part.resin import CureLaw, MeasuredThickening, Resin
from optimiser.part.shot import Process, Shot, Temperatures
from optimiser.physics.cure_kinetics import kamal_cured_shares
from optimiser.physics.gel_clock import gel_time_between_points_s
from optimiser.physics.resin_viscosity import viscosity_between_points_pa_s
from optimiser.physics.thickening import (
    share_of_gel_spent,
    thickening_at_share,
    thickening_by_cure,
    thickening_by_law,
)

_PIECES = 512
"""Moments in the longest stretch of the table: trapezoids are then off by a millionth or so."""

_ROUNDING = 1 + 1e-9


@dataclass(frozen=True, kw_only=True)
class ResinClock:
    """Times count from the first tap; resin mixed before has a negative birth."""

    fluidity: FluidityClock
    fresh_pa_s: float
    """Viscosity when fresh, at the temperatures of the first tap."""
    gel_time_s: float
    """Age at which resin as old as the first mix gels."""
    age_at_first_tap_s: float
    """Of the first mix."""
    steady: bool
    """Temperatures stay as they are at the first tap."""
    time_s: FloatArray
    """From the birth of the first mix on; jumps stand twice."""
    viscosity_pa_s: FloatArray
    """Of resin as old as the first mix, at each of these times."""
    spent: FloatArray
    """Share of the gel time that the first mix has spent."""
    course_until_s: float
    """Temperatures are known up to then; infinity where they stay."""
    table_until: float
    """Share of the gel time up to which its thickening is known."""
    law_until_pa_s: float
    """Viscosity up to which it is known."""

    def gel_time_of(self, birth_s: FloatArray) -> FloatArray:
        """Age at which resin mixed at these times gels: the integral of dt / t_gel(T(t)) from there on is 1."""
        if self.steady:
            return np.full(birth_s.shape, self.gel_time_s)
        return _when_spent(self.spent_at(birth_s) + 1.0, self.time_s, self.spent) - birth_s

    def age_limit_of(self, birth_s: FloatArray, gel_fraction: float) -> FloatArray:
        """Age up to which resin mixed at these times may be used.

        The share of its own gel time or the age at which that share of it is spent, whichever comes first: at one
        temperature the same; in a shop that cools, most may be spent long before gel.
        """
        by_time_s = gel_fraction * self.gel_time_of(birth_s)
        if self.steady:
            return by_time_s
        spent = self.spent_at(birth_s) + gel_fraction
        return np.minimum(by_time_s, _when_spent(spent, self.time_s, self.spent) - birth_s)

    def spent_at(self, time_s: FloatArray) -> FloatArray:
        beyond = np.maximum(time_s - self.time_s[-1], 0.0)
        return np.asarray(np.interp(time_s, self.time_s, self.spent) + beyond * _last_rate(self.time_s, self.spent))

    def viscosity_at(self, time_s: float) -> float:
        """As far as its thickening is known, and that of the last point beyond."""
        return float(np.interp(time_s, self.time_s, self.viscosity_pa_s))

    def known_until(self, limit_s: float) -> bool:
        """Whether a limit after the first tap lies within all of the data."""
        within = 0.0 < limit_s <= self.course_until_s * _ROUNDING
        return within and self.table_reaches(limit_s) and self.law_reaches(limit_s)

    def table_reaches(self, limit_s: float) -> bool:
        return float(self.spent_at(np.array(limit_s))) <= self.table_until * _ROUNDING

    def law_reaches(self, limit_s: float) -> bool:
        return self.viscosity_at(limit_s) <= self.law_until_pa_s * _ROUNDING

    def limit_s(self, gel_fraction: float) -> float:
        """From the first tap: when the first mix may no longer be used."""
        age_s = self.age_at_first_tap_s
        return float(self.age_limit_of(np.array([-age_s]), gel_fraction)[0]) - age_s


def clock_of_shot(shot: Shot) -> ResinClock:
    return clock_of_process(shot.resin, shot.process)


def clock_of_process(resin: Resin, process: Process) -> ResinClock:
    """OutOfRangeError beyond the resin's data."""
    steady = Temperatures(at_s=0.0, mould_k=process.mould_temperature_k, resin_k=process.resin_temperature_k)
    return clock_of(resin, process.temperatures or (steady,), process.age_at_first_tap_s or 0.0)


def clock_of(resin: Resin, course: tuple[Temperatures, ...], age_at_first_tap_s: float) -> ResinClock:
    """course: in order, the first at the first tap; one alone stays. OutOfRangeError beyond the resin's data."""
    age_s, steady = age_at_first_tap_s, len(course) == 1
    time_s, colder_k, warmer_k = _moments(course, age_s, 1.01 * _longest_gel_s(resin, course))
    gel_time_s = _each(warmer_k, lambda at_k: gel_time_s_at(resin, at_k, resin.initiator_fraction))
    fresh_pa_s = _each(colder_k, lambda at_k: fresh_pa_s_at(resin, at_k))
    spent = share_of_gel_spent(time_s=time_s, gel_time_s=gel_time_s)
    viscosity_pa_s = fresh_pa_s * _thickening(resin, time_s, warmer_k, gel_time_s, spent)
    constant = resin.thickening is None and steady
    first_pa_s = fresh_pa_s_at(resin, min(course[0].mould_k, course[0].resin_k))
    at_constant_s = gel_time_s_at(resin, max(course[0].mould_k, course[0].resin_k), resin.initiator_fraction)
    return ResinClock(
        fluidity=FluidityClock.of_constant_viscosity(first_pa_s)
        if constant
        else FluidityClock.of_viscosities(time_s, viscosity_pa_s),
        fresh_pa_s=first_pa_s,
        gel_time_s=at_constant_s if steady else float(_when_spent(np.array(1.0), time_s, spent)) + age_s,
        age_at_first_tap_s=age_s,
        steady=steady,
        time_s=time_s,
        viscosity_pa_s=viscosity_pa_s,
        spent=spent,
        course_until_s=np.inf if steady else course[-1].at_s,
        table_until=_table_until(resin),
        law_until_pa_s=np.inf
        if resin.thickening is None or isinstance(resin.thickening, MeasuredThickening)
        else resin.thickening.fitted_to_pa_s,
    )


def fresh_pa_s_at(resin: Resin, temperature_k: float) -> float:
    """OutOfRangeError beyond the points of the data sheet."""
    points = tuple((point.temperature_k, point.viscosity_pa_s) for point in resin.viscosity_points)
    return viscosity_between_points_pa_s(points, temperature_k)


def gel_time_s_at(resin: Resin, temperature_k: float, initiator_fraction: float) -> float:
    """OutOfRangeError beyond the temperatures or levels measured."""
    return gel_time_between_points_s(
        tuple((point.temperature_k, point.initiator_fraction, point.gel_time_s) for point in resin.gel_points),
        temperature_k=temperature_k,
        initiator_fraction=initiator_fraction,
    )


def _thickening(
    resin: Resin, time_s: FloatArray, warmer_k: FloatArray, gel_time_s: FloatArray, spent: FloatArray
) -> FloatArray:
    known = resin.thickening
    if known is None:
        return np.ones_like(time_s)
    if isinstance(known, MeasuredThickening):
        return thickening_at_share(
            spent,
            ages_s=np.array([point.age_s for point in known.points]),
            viscosities_pa_s=np.array([point.viscosity_pa_s for point in known.points]),
            gel_time_s=gel_time_s_at(resin, known.temperature_k, known.initiator_fraction),
        )
    fitted_s = _each(warmer_k, lambda at_k: gel_time_s_at(resin, at_k, known.initiator_fraction))
    if isinstance(known, CureLaw):
        return _thickening_by_cure(known, time_s, warmer_k, fitted_s / gel_time_s)
    return thickening_by_law(
        time_s=time_s,
        temperature_k=warmer_k,
        cure_factor_1_s=known.cure_factor_1_s,
        cure_energy_j_mol=known.cure_energy_j_mol,
        times_as_fast=fitted_s / gel_time_s,
    )


def _thickening_by_cure(
    law: CureLaw, time_s: FloatArray, temperature_k: FloatArray, times_as_fast: FloatArray
) -> FloatArray:
    cured = kamal_cured_shares(
        time_s=time_s,
        temperature_k=temperature_k,
        times_as_fast=times_as_fast,
        **law.rate_constants,
    )
    return thickening_by_cure(
        cured, gel_share=law.gel_share, power_at_start=law.power_at_start, power_growth=law.power_growth
    )


def _when_spent(wanted: FloatArray, time_s: FloatArray, spent: FloatArray) -> FloatArray:
    """Temperatures keep their last value beyond the table."""
    beyond = np.maximum(wanted - spent[-1], 0.0)
    return np.asarray(np.interp(wanted, spent, time_s) + beyond / _last_rate(time_s, spent))


def _last_rate(time_s: FloatArray, spent: FloatArray) -> float:
    return float((spent[-1] - spent[-2]) / (time_s[-1] - time_s[-2]))


def _table_until(resin: Resin) -> float:
    known = resin.thickening
    if not isinstance(known, MeasuredThickening):
        return np.inf
    return known.points[-1].age_s / gel_time_s_at(resin, known.temperature_k, known.initiator_fraction)


def _longest_gel_s(resin: Resin, course: tuple[Temperatures, ...]) -> float:
    """Gel at the coldest moment takes no less than gel along the course."""
    return gel_time_s_at(resin, min(max(row.mould_k, row.resin_k) for row in course), resin.initiator_fraction)


def _moments(
    course: tuple[Temperatures, ...], age_s: float, until_s: float
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Times from the birth of the first mix until past gel, with the colder and the warmer temperature at each."""
    first, last = course[0], course[-1]
    end_s = max(until_s, last.at_s + 1.0)
    rows = [(-age_s, first.mould_k, first.resin_k)] if age_s > 0 else []
    rows += [(row.at_s, row.mould_k, row.resin_k) for row in course]
    rows.append((end_s, last.mould_k, last.resin_k))
    step_s = (end_s + age_s) / _PIECES
    pieces = [
        np.linspace(start, end, max(1, int(np.ceil((end[0] - start[0]) / step_s))) + 1)
        for start, end in pairwise(rows)
    ]
    table = np.concatenate([np.array(piece) for piece in pieces])
    return table[:, 0], table[:, 1:].min(axis=1), table[:, 1:].max(axis=1)


def _each(temperature_k: FloatArray, law: Callable[[float], float]) -> FloatArray:
    """The law at each temperature, worked out once where the temperature stays."""
    different, place = np.unique(temperature_k, return_inverse=True)
    return np.array([law(float(each_k)) for each_k in different])[place]
