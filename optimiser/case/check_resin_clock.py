"""The resin's clock over the shot: temperatures in order, and data that reach as far as the gel limit."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from optimiser.case.age_at_first_tap import age_at_first_tap_min, judged_at_each_place
from optimiser.case.build_shot import clock_of_document
from optimiser.case.case_document import CaseDocument
from optimiser.case.check_resin import temperature_faults
from optimiser.case.cure_warnings import cure_faults
from optimiser.case.pointer import pointer
from optimiser.case.process_document import Mixes
from optimiser.case.resin_document import ResinDocument
from optimiser.errors import Fault
from optimiser.plan.resin_clock import ResinClock
from optimiser.units import fraction_from_percent, min_from_s

_MOST_THICKENING = 300.0
"""Times fresh: gel itself is put at some thousand (common practice, no source), and the limit lies before it."""
_LEAST_LIMIT_S = 1.0
"""Less is nothing left, rounded."""


def resin_clock_faults(document: CaseDocument) -> Iterator[Fault]:
    """Of a document whose resin and temperatures at the first tap are in order."""
    if age_at_first_tap_min(document) is None:
        return
    crooked = [*_course_faults(document), *_supply_faults(document)]
    yield from crooked
    if crooked:
        return
    process = document.process
    gelled = list(
        cure_faults(document.resin, process.mould_temperature_c, fraction_from_percent(process.gel_fraction_percent))
    )
    yield from gelled
    if gelled:
        return
    clock = clock_of_document(document)
    fraction = fraction_from_percent(document.process.gel_fraction_percent)
    limit_s, age_limit_min = clock.limit_s(fraction), min_from_s(clock.gel_time_s * fraction)
    if limit_s < _LEAST_LIMIT_S:
        age_min, supply = age_at_first_tap_min(document), document.supply
        by_mixing = (
            document.process.age_at_first_tap_min is None
            and isinstance(supply, Mixes)
            and supply.minutes_per_mix == age_min
        )
        yield Fault(
            path=pointer("supply", "minutes_per_mix") if by_mixing else pointer("process", "age_at_first_tap_min"),
            found=f"{age_min:g} min",
            expected=f"less than the share of the gel time that may be used, {age_limit_min:.0f} min",
            remedy="smaller mixes that take less time, or a resin that gels later"
            if by_mixing
            else "open the first tap sooner, or have a resin that gels later",
        )
        return
    yield from _reach_faults(document, clock, limit_s)


def _course_faults(document: CaseDocument) -> Iterator[Fault]:
    process, rows = document.process, document.process.temperatures
    if not rows:
        return
    at = pointer("process", "temperatures")
    if rows[0].at_min != 0:
        yield Fault(path=f"{at}/0/at_min", found=f"{rows[0].at_min:g} min", expected="0: the first tap")
    for place, (before, after) in enumerate(pairwise(rows), start=1):
        if after.at_min < before.at_min:
            found = f"{after.at_min:g} min after {before.at_min:g} min"
            yield Fault(path=f"{at}/{place}/at_min", found=found, expected="rows in order of time")
    for field in ("mould_temperature_c", "resin_temperature_c"):
        stated, first = getattr(process, field), getattr(rows[0], field)
        if first != stated:
            found = f"{first:g} degrees C"
            yield Fault(path=f"{at}/0/{field}", found=found, expected=f"{stated:g}, as {field} of the process")
    for place, row in enumerate(rows[1:], start=1):
        for fault in temperature_faults(
            document.resin, mould_temperature_c=row.mould_temperature_c, resin_temperature_c=row.resin_temperature_c
        ):
            yield Fault(
                path=f"{at}/{place}/{fault.path.rsplit('/', 1)[1]}",
                found=fault.found,
                expected=fault.expected,
                remedy=fault.remedy,
            )


def _supply_faults(document: CaseDocument) -> Iterator[Fault]:
    supply = document.supply
    if judged_at_each_place(document) and isinstance(supply, Mixes) and supply.minutes_per_mix is None:
        yield Fault(
            path=pointer("process", "gel_judged_by"),
            found="each_place, with mixes whose minutes are not stated",
            expected="oldest_resin, or /supply/minutes_per_mix: the age at a place is that of its mix",
        )


def _reach_faults(document: CaseDocument, clock: ResinClock, limit_s: float) -> Iterator[Fault]:
    """Nothing is judged by what lies beyond the data: they reach the gel limit, or the case is refused."""
    if clock.known_until(limit_s):
        return
    resin, limit_min = document.resin, min_from_s(limit_s)
    if clock.course_until_s < limit_s:
        yield Fault(
            path=pointer("process", "temperatures"),
            found=f"temperatures up to minute {min_from_s(clock.course_until_s):g}",
            expected=f"up to the gel limit, minute {math.ceil(limit_min)}, or further",
            remedy="add a row for a later minute: what you expect, or what is worse",
        )
    if resin.viscosity_with_age is not None and not clock.table_reaches(limit_s):
        last_min, spent = resin.viscosity_with_age.points[-1].age_min, float(clock.spent_at(np.array(limit_s)))
        yield Fault(
            path=pointer("resin", "viscosity_with_age", "points"),
            found=f"viscosities up to {last_min:g} min, {clock.table_until:.0%} of the gel time there",
            expected=f"up to the gel limit of this shot, {spent:.0%} of the gel time: there "
            f"{math.ceil(round(last_min * spent / clock.table_until, 6))} min, or further",
            remedy="go on with the test until past the limit, or allow a smaller share of the gel time",
        )
    yield from _law_faults(resin, clock, limit_s)


def _law_faults(resin: ResinDocument, clock: ResinClock, limit_s: float) -> Iterator[Fault]:
    law = resin.thickening_law or resin.cure_law
    if law is None or clock.law_reaches(limit_s):
        return
    at = pointer("resin", "thickening_law" if resin.thickening_law else "cure_law")
    thickest_pa_s = clock.viscosity_at(limit_s)
    times = thickest_pa_s / clock.fresh_pa_s
    if not times < _MOST_THICKENING:
        yield Fault(
            path=at,
            found=f"a law by which the resin is {times:.1e} times as thick at the gel limit of the gel times",
            expected="a resin that still runs there: factors per second, energies in kJ/mol",
            remedy="look at the units of the fit, or at the gel times: one of them is of another resin",
        )
    else:
        yield Fault(
            path=f"{at}/fitted_to_mpa_s",
            found=f"{law.fitted_to_mpa_s:g} mPa s",
            expected="at least what the law makes of the resin at the gel limit, "
            f"{math.ceil(1e3 * thickest_pa_s)} mPa s",
            remedy="fit the law further, or allow a smaller share of the gel time",
        )
