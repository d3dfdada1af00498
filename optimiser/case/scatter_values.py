"""What a case says of its scatter, with what is taken where it says nothing: in SI, and as assumptions that are listed.

All of it came after documents had been stored: taken and listed, but not filled in, so digests stay.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from optimiser.case.build_part import race_track_of
from optimiser.case.case_document import CaseDocument
from optimiser.case.data_sheet_laws import fresh_viscosity_pa_s, gel_time_s
from optimiser.case.plan_document import Assumption
from optimiser.case.pointer import pointer
from optimiser.case.scatter_document import ScatterDocument
from optimiser.errors import OutOfRangeError
from optimiser.part.scatter import MayRace, Scatter
from optimiser.units import fraction_from_percent, pa_from_mbar

_OURS = "our choice, no source; state your own"


@dataclass(frozen=True, kw_only=True)
class _Taken:
    field: str
    value: float
    says: str
    """The value in words, {} for its number."""
    why: str = _OURS


_TEMPERATURE = _Taken(field="temperature_plus_minus_c", value=2.0, says="mould and resin {} degrees C colder or warmer")
_GEL_TIME = _Taken(field="gel_time_spread_percent", value=10.0, says="gel time: coefficient of variation {} %")
_VACUUM = _Taken(field="vacuum_plus_minus_mbar", value=10.0, says="{} mbar more or less under the bag")
_LATE = _Taken(field="late_up_to_s", value=30.0, says="crew up to {} s late on each action")
_GAP_WIDTH = _Taken(field="gap_width_spread_percent", value=30.0, says="width of gaps: coefficient of variation {} %")
_NEAR_PERCENT = 25.0
_VACUUM_SHARE = 0.5
"""Taken, the pressure under the bag never goes below this share of what is stated."""


def scatter_of(document: CaseDocument) -> Scatter | None:
    """None: the case asks for no variations."""
    scenarios = document.search.scenarios
    if scenarios is None:
        return None
    stated = document.process.scatter or ScatterDocument()
    taken = {one.field: one.value for one in _taken(document)}

    def value(of: _Taken) -> float:
        said = getattr(stated, of.field)
        return float(taken.get(of.field, 0.0) if said is None else said)

    near = document.search.near_percent
    return Scatter(
        scenarios=scenarios,
        near_fraction=fraction_from_percent(_NEAR_PERCENT if near is None else near),
        permeability_variation={
            one.laminate: fraction_from_percent(one.variation_percent) for one in stated.laminates
        },
        temperature_k=value(_TEMPERATURE),
        gel_time_variation=fraction_from_percent(value(_GEL_TIME)),
        vacuum_pa=pa_from_mbar(value(_VACUUM)),
        late_s=value(_LATE),
        track_width_variation=fraction_from_percent(value(_GAP_WIDTH)),
        may_race=tuple(
            MayRace(track=race_track_of(one), chance=fraction_from_percent(one.chance_percent))
            for one in stated.may_race
        ),
    )


def scatter_assumptions(document: CaseDocument) -> tuple[Assumption, ...]:
    """What is taken for the variations; none where none are asked for."""
    if document.search.scenarios is None:
        return ()
    listed = [
        Assumption(path=pointer("process", "scatter", one.field), value=one.says.format(f"{one.value:g}"), why=one.why)
        for one in _taken(document)
    ]
    if document.search.near_percent is None:
        near = f"up to {_NEAR_PERCENT:g} % slower than the fastest"
        listed.append(Assumption(path=pointer("search", "near_percent"), value=near, why=_OURS))
    return tuple(listed)


def room_for_temperature_c(document: CaseDocument, *, most_c: float) -> float:
    """How far, up to `most_c`, mould and resin may go both ways within the data of the resin; in tenths of a degree."""
    for tenths in range(round(10 * most_c), 0, -1):
        if all(_within_data(document, shift_c) for shift_c in (-tenths / 10, tenths / 10)):
            return tenths / 10
    return 0.0


def _within_data(document: CaseDocument, shift_c: float) -> bool:
    process, resin = document.process, document.resin
    try:
        for mould_c, resin_c in (
            (process.mould_temperature_c, process.resin_temperature_c),
            *((row.mould_temperature_c, row.resin_temperature_c) for row in process.temperatures),
        ):
            temperatures_c = (mould_c + shift_c, resin_c + shift_c)
            fresh_viscosity_pa_s(resin.viscosity_points, min(temperatures_c))
            gel_time_s(resin.gel_time_points, max(temperatures_c), resin.initiator.level_percent)
    except OutOfRangeError:
        return False
    return True


def _taken(document: CaseDocument) -> Iterator[_Taken]:
    """Values for the fields that are left out and matter."""
    stated = document.process.scatter or ScatterDocument()
    if stated.temperature_plus_minus_c is None:
        room_c = room_for_temperature_c(document, most_c=_TEMPERATURE.value)
        narrowed = room_c < _TEMPERATURE.value
        why = f"{_OURS}; no more, for the points of the resin reach no further" if narrowed else _OURS
        yield _Taken(field=_TEMPERATURE.field, value=room_c, says=_TEMPERATURE.says, why=why)
    if stated.gel_time_spread_percent is None:
        yield _GEL_TIME
    if stated.vacuum_plus_minus_mbar is None:
        room_mbar = _VACUUM_SHARE * document.process.vacuum_mbar_abs
        yield _Taken(field=_VACUUM.field, value=min(_VACUUM.value, room_mbar), says=_VACUUM.says)
    if stated.late_up_to_s is None:
        yield _LATE
    if stated.gap_width_spread_percent is None and (document.race_tracks or stated.may_race):
        yield _GAP_WIDTH
