"""What a change makes of a plan's resin at its temperatures: computed once for all plans that share them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from optimiser.case.change_document import ChangeDocument, changed_resin
from optimiser.case.check_resin import temperature_faults
from optimiser.case.data_sheet_laws import fresh_viscosity_pa_s, gel_time_s
from optimiser.case.resin_document import ResinDocument
from optimiser.errors import InputError
from optimiser.revalidation.answer import CannotJudge


@dataclass(frozen=True, kw_only=True)
class ResinNow:
    viscosity_pa_s: float
    gel_time_s: float
    density_kg_m3: float
    initiator_percent: float
    gel_limit_s: float | None = None
    """From the first tap, where the age is followed; None: the share of the gel time."""


@lru_cache(maxsize=16_384)
def resin_now(
    resin: ResinDocument, change: ChangeDocument, mould_temperature_c: float, resin_temperature_c: float
) -> ResinNow | CannotJudge:
    """As a case read after the change would have it: thick at the colder, quick at the warmer temperature."""
    try:
        now = changed_resin(resin, change)
        faults = tuple(
            temperature_faults(now, mould_temperature_c=mould_temperature_c, resin_temperature_c=resin_temperature_c)
        )
        if faults:
            raise InputError(faults)
    except InputError as error:
        return CannotJudge.because_of(error)
    colder_c, warmer_c = sorted((mould_temperature_c, resin_temperature_c))
    level = now.initiator.level_percent
    return ResinNow(
        viscosity_pa_s=fresh_viscosity_pa_s(now.viscosity_points, colder_c),
        gel_time_s=gel_time_s(now.gel_time_points, warmer_c, level),
        density_kg_m3=now.density_kg_m3,
        initiator_percent=level,
    )
