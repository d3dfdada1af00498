"""The settings a sweep judges: temperatures and initiator levels, and where the case's own data end."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from optimiser.case.case_document import CaseDocument
from optimiser.case.change_document import ChangeDocument
from optimiser.case.data_sheet_laws import fresh_viscosity_pa_s, gel_time_s
from optimiser.errors import OutOfRangeError

LEAST_C, MOST_C = 0.0, 80.0
"""Temperatures that a case accepts for mould and resin."""
LEAST_PERCENT, MOST_PERCENT = 0.1, 60.0
"""Initiator levels that a case accepts for any resin."""
_REACH_K: Final = 6
_STEP_K: Final = 2
_MOST_LEVELS: Final = 6
_STEPS_PERCENT: Final = (0.05, 0.1, 0.2, 0.25, 0.5, 1.0, 2.0, 5.0, 10.0)
_DIGITS: Final = 6
"""Decimals kept of a degree or a percent: only the noise of adding steps up is lost."""


@dataclass(frozen=True, kw_only=True)
class Setting:
    mould_temperature_c: float
    resin_temperature_c: float
    initiator_percent: float

    @property
    def change(self) -> ChangeDocument:
        """From the case to this setting."""
        return ChangeDocument(
            mould_temperature_c=self.mould_temperature_c,
            resin_temperature_c=self.resin_temperature_c,
            initiator_level_percent=self.initiator_percent,
        )


def own_setting(document: CaseDocument) -> Setting:
    """That of the case."""
    return Setting(
        mould_temperature_c=document.process.mould_temperature_c,
        resin_temperature_c=document.process.resin_temperature_c,
        initiator_percent=document.resin.initiator.level_percent,
    )


def setting_at(document: CaseDocument, mould_temperature_c: float, initiator_percent: float) -> Setting:
    """The resin stays as much warmer or colder than the mould as it is in the case."""
    own = own_setting(document)
    moved_k = mould_temperature_c - own.mould_temperature_c
    moved_c = round(own.resin_temperature_c + moved_k, _DIGITS)
    return Setting(
        mould_temperature_c=mould_temperature_c,
        resin_temperature_c=moved_c if moved_k else own.resin_temperature_c,
        initiator_percent=initiator_percent,
    )


def out_of_reach(document: CaseDocument, setting: Setting) -> str | None:
    """Why nothing may be said of a setting, None if something may: nothing is extrapolated."""
    initiator, level = document.resin.initiator, setting.initiator_percent
    colder_c, warmer_c = sorted((setting.mould_temperature_c, setting.resin_temperature_c))
    if not initiator.least_percent <= level <= initiator.most_percent:
        return f"outside the initiator range entered in the case, {_span(document)}"
    if not LEAST_C <= colder_c <= warmer_c <= MOST_C:
        return f"mould and resin must lie between {LEAST_C:g} and {MOST_C:g} degrees C"
    try:
        fresh_viscosity_pa_s(document.resin.viscosity_points, colder_c)
        gel_time_s(document.resin.gel_time_points, warmer_c, level)
    except OutOfRangeError as error:
        return str(error)
    return None


def default_temperatures_c(document: CaseDocument) -> tuple[float, ...]:
    """Every second degree up to 6 K from the case's own, as far as the resin's data reach at the case's own level."""
    own = own_setting(document)
    near = (own.mould_temperature_c + away_k for away_k in range(-_REACH_K, _REACH_K + 1, _STEP_K))
    settings = (setting_at(document, round(each, _DIGITS), own.initiator_percent) for each in near)
    return tuple(each.mould_temperature_c for each in settings if out_of_reach(document, each) is None)


def default_levels_percent(document: CaseDocument) -> tuple[float, ...]:
    """A few round levels over the range entered in the case, as far as gel times are measured."""
    least, most = _measured_range(document)
    for step in _STEPS_PERCENT:
        inside = [round(k * step, _DIGITS) for k in range(math.ceil(least / step), math.floor(most / step) + 1)]
        levels = sorted({least, *inside, most})
        if len(levels) <= _MOST_LEVELS:
            return tuple(levels)
    return tuple(sorted({least, most}))


def levels_not_measured(document: CaseDocument) -> str | None:
    """What of the range entered in the case has no gel times, in a sentence; None: nothing."""
    initiator, (least, most) = document.resin.initiator, _measured_range(document)
    if initiator.least_percent >= least and initiator.most_percent <= most:
        return None
    reach = f"at {least:g} % alone" if least == most else f"from {least:g} to {most:g} %"
    return (
        f"The initiator range entered in the case is {_span(document)}, but gel times are measured {reach}: "
        "test and enter gel times at other levels to see them here."
    )


def with_own(values: tuple[float, ...], own: float) -> tuple[float, ...]:
    """In order, the case's own always among them."""
    return tuple(sorted({own, *(value for value in values if not math.isclose(value, own, rel_tol=1e-9))}))


def _measured_range(document: CaseDocument) -> tuple[float, float]:
    """The range entered in the case less the levels for which no gel time is known."""
    initiator = document.resin.initiator
    measured = [point.initiator_percent for point in document.resin.gel_time_points]
    return max(initiator.least_percent, min(measured)), min(initiator.most_percent, max(measured))


def _span(document: CaseDocument) -> str:
    initiator = document.resin.initiator
    return f"{initiator.least_percent:g} to {initiator.most_percent:g} %"
