"""Other settings of the resin: initiator within its range, temperatures within the data points; one of them, else both.

Which of them are worth a run is looked up: the front goes with viscosity, the limit with the gel time. The run decides.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from optimiser.case.process_document import ProcessDocument
from optimiser.case.remedies.proposal import Edit, Effort, Failing, Proposal
from optimiser.errors import OutOfRangeError
from optimiser.physics.closed_form import time_at_viscosity_s
from optimiser.plan.resin_clock import fresh_pa_s_at, gel_time_s_at
from optimiser.units import fraction_from_percent, k_from_c

_LEVEL_STEP = 0.05
_MOST_DEGREES = 15
_LEAST_C, _MOST_C = 0.0, 80.0
_ROOM = 0.98
"""Only what is in time by two hundredths is worth a run: hands take as long with any resin."""


@dataclass(frozen=True, kw_only=True)
class _Setting:
    level_percent: float
    mould_c: float
    resin_c: float


def other_settings(failing: Failing) -> Iterator[Proposal]:
    """The nearest of each kind that would do; level and temperature together only where neither does alone."""
    if not failing.late or failing.locks:
        return
    now = _now(failing)
    level = _first(failing, (_with_level(now, level) for level in _levels(failing)))
    warm = [_first(failing, moved) for moved in _moves(now)]
    alone = [setting for setting in (level, *warm) if setting is not None]
    if alone:
        yield from (_proposal(failing, setting) for setting in dict.fromkeys(alone))
        return
    both = (_with_level(moved, level) for moved in _same_moves(now) for level in _levels(failing))
    setting = _first(failing, both)
    if setting is not None:
        yield _proposal(failing, setting)


def _now(failing: Failing) -> _Setting:
    process = failing.document.process
    return _Setting(
        level_percent=failing.document.resin.initiator.level_percent,
        mould_c=process.mould_temperature_c,
        resin_c=process.resin_temperature_c,
    )


def _levels(failing: Failing) -> list[float]:
    """Within the range entered, the nearest first."""
    initiator = failing.document.resin.initiator
    steps = int((initiator.most_percent - initiator.least_percent) / _LEVEL_STEP + 1e-9)
    ways = [sign * k for k in range(1, steps + 1) for sign in (-1, 1)]
    levels = [round(initiator.level_percent + way * _LEVEL_STEP, 2) for way in ways]
    return [level for level in levels if initiator.least_percent <= level <= initiator.most_percent]


def _with_level(setting: _Setting, level_percent: float) -> _Setting:
    return _Setting(level_percent=level_percent, mould_c=setting.mould_c, resin_c=setting.resin_c)


def _moves(now: _Setting) -> Iterator[Iterator[_Setting]]:
    """Resin alone, mould alone, both by as much, both to the same: each from the smallest move on."""
    for mould, resin in ((0, 1), (1, 0), (1, 1)):
        yield (
            _Setting(
                level_percent=now.level_percent, mould_c=now.mould_c + mould * k, resin_c=now.resin_c + resin * k
            )
            for k in _degrees()
        )
    yield _same_moves(now)


def _same_moves(now: _Setting) -> Iterator[_Setting]:
    """Both at one temperature: the safe sides of viscosity and gel then fall together."""
    same = {now.mould_c + k for k in _degrees()} | {now.resin_c + k for k in _degrees()} | {now.mould_c, now.resin_c}
    for both_c in sorted(same, key=lambda both_c: (abs(both_c - now.mould_c) + abs(both_c - now.resin_c), both_c)):
        yield _Setting(level_percent=now.level_percent, mould_c=both_c, resin_c=both_c)


def _degrees() -> list[int]:
    return [sign * k for k in range(1, _MOST_DEGREES + 1) for sign in (1, -1)]


def _first(failing: Failing, settings: Iterable[_Setting]) -> _Setting | None:
    return next((setting for setting in settings if _would_do(failing, setting)), None)


def _would_do(failing: Failing, setting: _Setting) -> bool:
    """By the data points alone; false outside of them."""
    resin, result = failing.shot.resin, failing.result
    colder_c, warmer_c = sorted((setting.mould_c, setting.resin_c))
    if colder_c < _LEAST_C or warmer_c > _MOST_C:
        return False
    try:
        viscosity_pa_s = fresh_pa_s_at(resin, k_from_c(colder_c))
        gel_s = gel_time_s_at(resin, k_from_c(warmer_c), fraction_from_percent(setting.level_percent))
    except OutOfRangeError:
        return False
    wet_out_s = time_at_viscosity_s(
        time_s=result.chosen.run.wet_out_s,
        viscosity_pa_s=result.scenes.viscosity_pa_s,
        other_pa_s=viscosity_pa_s,
    )
    return wet_out_s <= _ROOM * gel_s * failing.shot.process.gel_fraction


def _proposal(failing: Failing, setting: _Setting) -> Proposal:
    """Every value that is not the case's own; the level last, as it depends on the temperature."""
    now_percent = failing.document.resin.initiator.level_percent
    warm = list(_warmer(failing.document.process, setting))
    said, edits = [words for words, _ in warm], [edit for _, edit in warm]
    if setting.level_percent != now_percent:
        said.append(
            f"initiator at {setting.level_percent:g} % in place of {now_percent:g} %, if the data sheet allows it then"
        )
        edits.append(Edit(keys=("resin", "initiator", "level_percent"), value=setting.level_percent))
    return Proposal(
        effort=Effort.TEMPERATURE if warm else Effort.INITIATOR, change=" and ".join(said), edits=tuple(edits)
    )


def _warmer(process: ProcessDocument, setting: _Setting) -> Iterator[tuple[str, Edit]]:
    for name, now_c, then_c in (
        ("resin", process.resin_temperature_c, setting.resin_c),
        ("mould", process.mould_temperature_c, setting.mould_c),
    ):
        if then_c != now_c:
            way = "warmer" if then_c > now_c else "colder"
            yield (
                f"{name} {abs(then_c - now_c):g} degrees {way}, {then_c:g} degrees C",
                Edit(keys=("process", f"{name}_temperature_c"), value=then_c),
            )
