"""Other settings of the resin: initiator within its range, temperatures within the data points; one of them, else both.

Where to begin is looked up: the front goes with viscosity, but for what a cap gives, the limit with the gel time. The
runs decide.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from optimiser.case.process_document import ProcessDocument
from optimiser.case.remedies.ladder import Ladder
from optimiser.case.remedies.proposal import Edit, Effort, Failing, Proposal
from optimiser.errors import OutOfRangeError
from optimiser.physics.closed_form import time_at_viscosity_s
from optimiser.plan.in_time import filled_late_s
from optimiser.plan.line_arrivals import supplied_s
from optimiser.plan.resin_clock import fresh_pa_s_at, gel_time_s_at
from optimiser.units import fraction_from_percent, k_from_c

_LEVEL_STEP = 0.05
_MOST_DEGREES = 25
_LEAST_C, _MOST_C = 0.0, 80.0
_ROOM = 0.98
"""Of the limit: what is wet by then should do. Hands take as long with any resin."""
_WORTH_A_RUN = 1.05
"""Of the limit: where nothing should do, the best is still tried if it comes so near."""


@dataclass(frozen=True, kw_only=True)
class _Setting:
    level_percent: float
    mould_c: float
    resin_c: float


def other_settings(failing: Failing) -> Iterator[Ladder]:
    """Of each kind in steps; level and temperature together only where neither does alone."""
    if not failing.late or failing.locks:
        return
    now = _now(failing)
    levels = [[_with_level(now, level) for level in way] for way in _levels(failing)]
    for settings in dict.fromkeys(map(tuple, [*levels, *_moves(now)])):
        ladder = _ladder(failing, settings)
        if ladder is not None:
            yield ladder
    both = [_with_level(one, level) for one in _nearest(_same_moves(now)) for way in _levels(failing) for level in way]
    ladder = _ladder(failing, both)
    if ladder is not None:
        rungs = tuple(ladder.rungs[place] for place in sorted({ladder.first, ladder.best}))
        yield Ladder(rungs=rungs, best=len(rungs) - 1, instead_of=(Effort.INITIATOR, Effort.TEMPERATURE))


def _now(failing: Failing) -> _Setting:
    process = failing.document.process
    return _Setting(
        level_percent=failing.document.resin.initiator.level_percent,
        mould_c=process.mould_temperature_c,
        resin_c=process.resin_temperature_c,
    )


def _levels(failing: Failing) -> Iterator[list[float]]:
    """Less, then more, to the ends of the range entered, the nearest first."""
    initiator = failing.document.resin.initiator
    for way, end in ((-1, initiator.least_percent), (1, initiator.most_percent)):
        room = abs(end - initiator.level_percent)
        steps = [k * _LEVEL_STEP for k in range(1, int(room / _LEVEL_STEP + 1e-9) + 1)]
        levels = [round(initiator.level_percent + way * step, 2) for step in steps]
        yield levels if room < 1e-9 or end in levels else [*levels, end]


def _with_level(setting: _Setting, level_percent: float) -> _Setting:
    return replace(setting, level_percent=level_percent)


def _moves(now: _Setting) -> Iterator[list[_Setting]]:
    """Resin alone, mould alone, both by as much, warmer and colder; both to the same."""
    for mould, resin in ((0, 1), (1, 0), (1, 1)):
        for way in (1, -1):
            yield [
                replace(now, mould_c=now.mould_c + way * mould * k, resin_c=now.resin_c + way * resin * k)
                for k in range(1, _MOST_DEGREES + 1)
            ]
    yield from _same_moves(now)


def _same_moves(now: _Setting) -> Iterator[list[_Setting]]:
    """Both at one temperature, warmer and colder: the safe sides of viscosity and gel then fall together."""
    low_c, high_c = sorted((now.mould_c, now.resin_c))
    for from_c, way in ((low_c, 1), (high_c, -1)):
        apart = int(high_c - low_c)
        temperatures = [from_c + way * k for k in range(0 if apart else 1, apart + _MOST_DEGREES + 1)]
        yield [replace(now, mould_c=both_c, resin_c=both_c) for both_c in temperatures]


def _nearest(ways: Iterable[list[_Setting]]) -> list[_Setting]:
    """One way's and the other's in turn."""
    return list(dict.fromkeys(one for pair in zip(*ways, strict=True) for one in pair))


def _ladder(failing: Failing, settings: Sequence[_Setting]) -> Ladder | None:
    """Of those within the data points; None: none of them comes near enough to be worth a run."""
    known = [(one, share) for one in settings if (share := _share_of_limit(failing, one)) is not None]
    if not known:
        return None
    shares = [share for _, share in known]
    best = min(range(len(shares)), key=lambda place: shares[place])
    first = next((place for place, share in enumerate(shares) if share <= _ROOM), best)
    if shares[best] > _WORTH_A_RUN:
        return None
    return Ladder(rungs=tuple(_proposal(failing, one) for one, _ in known), first=first, best=best)


def _share_of_limit(failing: Failing, setting: _Setting) -> float | None:
    """Wet-out over its limit by the data points alone; None outside of them."""
    resin, result = failing.shot.resin, failing.result
    colder_c, warmer_c = sorted((setting.mould_c, setting.resin_c))
    if colder_c < _LEAST_C or warmer_c > _MOST_C:
        return None
    try:
        viscosity_pa_s = fresh_pa_s_at(resin, k_from_c(colder_c))
        gel_s = gel_time_s_at(resin, k_from_c(warmer_c), fraction_from_percent(setting.level_percent))
    except OutOfRangeError:
        return None
    by_cap_s = min(supplied_s(failing.shot, result.scenes.full), failing.wet_out_s) if result.chosen.run.capped else 0.0
    by_pressure_s = time_at_viscosity_s(
        time_s=failing.wet_out_s - by_cap_s,
        viscosity_pa_s=result.scenes.viscosity_pa_s,
        other_pa_s=viscosity_pa_s,
    )
    needed_s = by_cap_s + by_pressure_s + filled_late_s(failing.shot)
    return needed_s / (gel_s * failing.shot.process.gel_fraction)


def _proposal(failing: Failing, setting: _Setting) -> Proposal:
    """Every value that is not the case's own; the level last, as it depends on the temperature."""
    now_percent = failing.document.resin.initiator.level_percent
    warm = list(_warmer(failing.document.process, setting))
    said, edits = [words for words, _ in warm], [edit for _, each in warm for edit in each]
    if setting.level_percent != now_percent:
        said.append(
            f"initiator at {setting.level_percent:g} % in place of {now_percent:g} %, if the data sheet allows it then"
        )
        edits.append(Edit(keys=("resin", "initiator", "level_percent"), value=setting.level_percent))
    return Proposal(
        effort=Effort.TEMPERATURE if warm else Effort.INITIATOR, change=" and ".join(said), edits=tuple(edits)
    )


def _warmer(process: ProcessDocument, setting: _Setting) -> Iterator[tuple[str, list[Edit]]]:
    """In one where resin and mould go from one temperature to another together."""
    moved: dict[tuple[float, float], list[str]] = {}
    moved.setdefault((process.resin_temperature_c, setting.resin_c), []).append("resin")
    moved.setdefault((process.mould_temperature_c, setting.mould_c), []).append("mould")
    for (now_c, then_c), names in moved.items():
        if then_c != now_c:
            way = "warmer" if then_c > now_c else "colder"
            yield (
                f"{' and '.join(names)} {abs(then_c - now_c):g} degrees {way}, {then_c:g} degrees C",
                [Edit(keys=("process", f"{name}_temperature_c"), value=then_c) for name in names],
            )
