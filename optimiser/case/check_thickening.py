"""What a resin's thickening must agree with: its own order, its gel times and its fresh viscosity."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Protocol

import numpy as np

from optimiser.case.check_level import level_faults
from optimiser.case.data_sheet_laws import fresh_viscosity_pa_s, gel_time_s
from optimiser.case.pointer import pointer
from optimiser.case.resin_document import GelTimePointDocument, ViscosityPointDocument
from optimiser.case.thickening_document import CureLawDocument, Thickening, ViscosityWithAgeDocument
from optimiser.errors import Fault, OutOfRangeError
from optimiser.physics.thickening import thickening_by_cure
from optimiser.units import fraction_from_percent

MOST_APART = 0.2
"""Share by which the table's first viscosity may be off that of the fresh resin: two tests of one resin agree better
(our choice); more is another resin, or another unit."""
_TABLE, _LAW, _CURE = "viscosity_with_age", "thickening_law", "cure_law"


class DataSheet(Thickening, Protocol):
    """Of a case or of a stored resin."""

    @property
    def viscosity_points(self) -> tuple[ViscosityPointDocument, ...]: ...
    @property
    def gel_time_points(self) -> tuple[GelTimePointDocument, ...]: ...


def thickening_faults(resin: DataSheet, base: str) -> Iterator[Fault]:
    """`base` is the pointer to the resin, whose points agree with each other."""
    table, law, cure = resin.viscosity_with_age, resin.thickening_law, resin.cure_law
    stated = [name for name, one in ((_TABLE, table), (_LAW, law), (_CURE, cure)) if one is not None]
    if len(stated) > 1:
        yield Fault(
            path=base + pointer(stated[-1]),
            found=f"a law beside {stated[0]}",
            expected="a table or a law",
            remedy="keep the one that was measured on this resin",
        )
    elif table is not None:
        yield from _order_faults(table, base)
        yield from level_faults(
            resin.gel_time_points, table.initiator_percent, base + pointer(_TABLE, "initiator_percent")
        )
        yield from _fresh_faults(resin, table, base)
    elif fitted := law or cure:
        if cure is not None:
            yield from _thinning_faults(cure, base)
        yield from level_faults(
            resin.gel_time_points, fitted.initiator_percent, base + pointer(stated[0], "initiator_percent")
        )


def _thinning_faults(cure: CureLawDocument, base: str) -> Iterator[Fault]:
    """Viscosity must not fall on the way to gel; looked at in a hundred places."""
    gel_share = fraction_from_percent(cure.gel_share_percent)
    cured = np.linspace(0.0, 0.99 * gel_share, 100)
    ratio = thickening_by_cure(
        cured, gel_share=gel_share, power_at_start=cure.exponent_at_start, power_growth=cure.exponent_growth
    )
    falls = np.flatnonzero(np.diff(ratio) < 0)
    if len(falls):
        yield Fault(
            path=base + pointer(_CURE, "exponent_growth"),
            found=f"{cure.exponent_growth:g}, with which resin thins from {100 * cured[falls[0]]:.0f} % cured on",
            expected="a resin that does not thin as it cures",
            remedy="look at the signs of C1 and C2 in the fit",
        )


def _order_faults(table: ViscosityWithAgeDocument, base: str) -> Iterator[Fault]:
    at = base + pointer(_TABLE, "points")
    if table.points[0].age_min != 0:
        found = f"{table.points[0].age_min:g} min"
        yield Fault(path=f"{at}/0/age_min", found=found, expected="0: the fresh resin, to which all others are held")
    for place, (before, after) in enumerate(pairwise(table.points), start=1):
        if after.age_min <= before.age_min:
            found = f"{after.age_min:g} min after {before.age_min:g} min"
            yield Fault(path=f"{at}/{place}/age_min", found=found, expected="ages that rise from point to point")
        if after.viscosity_mpa_s < before.viscosity_mpa_s:
            yield Fault(
                path=f"{at}/{place}/viscosity_mpa_s",
                found=f"{after.viscosity_mpa_s:g} after {before.viscosity_mpa_s:g} mPa s",
                expected="a viscosity that does not fall with age",
                remedy="take the test at one temperature: resin that warms up reads thinner",
            )


def _fresh_faults(resin: DataSheet, table: ViscosityWithAgeDocument, base: str) -> Iterator[Fault]:
    at = base + pointer(_TABLE, "temperature_c")
    try:
        fresh_mpa_s = 1e3 * fresh_viscosity_pa_s(resin.viscosity_points, table.temperature_c)
        levels = [point.initiator_percent for point in resin.gel_time_points]
        if min(levels) <= table.initiator_percent <= max(levels):
            gel_time_s(resin.gel_time_points, table.temperature_c, table.initiator_percent)
    except OutOfRangeError as error:
        yield Fault(
            path=at,
            found=f"{table.temperature_c:g} degrees C",
            expected=f"a temperature within the other data of the resin: {error}",
            remedy="add points to the resin that reach this temperature",
        )
        return
    first = table.points[0].viscosity_mpa_s
    if abs(first - fresh_mpa_s) > MOST_APART * fresh_mpa_s:
        yield Fault(
            path=base + pointer(_TABLE, "points", 0, "viscosity_mpa_s"),
            found=f"{first:g} mPa s at {table.temperature_c:g} degrees C",
            expected=f"about that of the fresh resin by viscosity_points, {fresh_mpa_s:.0f} mPa s",
            remedy="test both on one batch",
        )
