"""The data of a resin that must agree with each other, and with the temperatures of the shop."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from optimiser.case.check_level import level_faults
from optimiser.case.check_thickening import thickening_faults
from optimiser.case.data_sheet_laws import fresh_viscosity_pa_s, gel_time_s
from optimiser.case.pointer import pointer
from optimiser.case.resin_document import GelTimePointDocument, ResinDocument, ViscosityPointDocument
from optimiser.errors import Fault, OutOfRangeError
from optimiser.physics.arrhenius import SAME_TEMPERATURE_K

Place = tuple[str, float, float]
"""Pointer to a point's value, its temperature in degrees C, its value."""


def resin_faults(resin: ResinDocument) -> Iterator[Fault]:
    """With pointers as they are where the resin stands under /resin."""
    yield from _initiator_faults(resin)
    crooked = list(point_faults(resin.viscosity_points, resin.gel_time_points, pointer("resin")))
    yield from crooked or thickening_faults(resin, pointer("resin"))


def _initiator_faults(resin: ResinDocument) -> Iterator[Fault]:
    initiator = resin.initiator
    path = pointer("resin", "initiator", "level_percent")
    least, most, level = initiator.least_percent, initiator.most_percent, initiator.level_percent
    if least > most:
        found = f"least {least:g} % above most {most:g} %"
        yield Fault(path=pointer("resin", "initiator"), found=found, expected="least at or below most")
    elif not least <= level <= most:
        expected = f"within the range stated for the resin, {least:g} to {most:g} %"
        yield Fault(path=path, found=f"{level:g} %", expected=expected)
    yield from level_faults(resin.gel_time_points, level, path)


def point_faults(
    viscosity_points: Iterable[ViscosityPointDocument], gel_time_points: Sequence[GelTimePointDocument], base: str
) -> Iterator[Fault]:
    """Points of one temperature, or that rise with it; `base` is the pointer to what they stand in."""
    by_level: defaultdict[float, list[Place]] = defaultdict(list)
    for i, gel in enumerate(gel_time_points):
        path = base + pointer("gel_time_points", i, "gel_time_min")
        by_level[gel.initiator_percent].append((path, gel.temperature_c, gel.gel_time_min))
    viscosities: list[Place] = []
    for i, point in enumerate(viscosity_points):
        path = base + pointer("viscosity_points", i, "viscosity_mpa_s")
        viscosities.append((path, point.temperature_c, point.viscosity_mpa_s))
    yield from _not_falling(viscosities, "viscosity")
    for places in by_level.values():
        yield from _not_falling(places, "gel time")
    yield from _rising_with_initiator(gel_time_points, base)


def _rising_with_initiator(points: Sequence[GelTimePointDocument], base: str) -> Iterator[Fault]:
    """Of points at one temperature: more initiator and a later gel time are exchanged values, or another resin."""
    placed = sorted(enumerate(points), key=lambda one: (one[1].temperature_c, one[1].initiator_percent))
    for (_, less), (place, more) in pairwise(placed):
        same = more.temperature_c - less.temperature_c < SAME_TEMPERATURE_K
        if same and more.initiator_percent > less.initiator_percent and more.gel_time_min > less.gel_time_min:
            yield Fault(
                path=base + pointer("gel_time_points", place, "gel_time_min"),
                found=f"{more.gel_time_min:g} min with {more.initiator_percent:g} % of initiator, "
                f"{less.gel_time_min:g} min with {less.initiator_percent:g} %",
                expected="a gel time that does not rise with the initiator",
            )


def _not_falling(places: list[Place], noun: str) -> Iterator[Fault]:
    for (_, colder_c, more), (path, warmer_c, less) in pairwise(sorted(places, key=lambda place: place[1])):
        if warmer_c - colder_c < SAME_TEMPERATURE_K:
            found = f"a second {noun} at {warmer_c:g} degrees C"
            yield Fault(path=path, found=found, expected="one value for each temperature")
        elif less >= more:
            yield Fault(
                path=path,
                found=f"{less:g} at {warmer_c:g} degrees C, {more:g} at {colder_c:g} degrees C",
                expected=f"a {noun} that falls as the temperature rises",
            )


def temperature_faults(
    resin: ResinDocument, *, mould_temperature_c: float, resin_temperature_c: float
) -> Iterator[Fault]:
    """Viscosity is taken at the colder, gel time at the warmer of mould and resin: both on the safe side."""
    temperatures_c = {"mould_temperature_c": mould_temperature_c, "resin_temperature_c": resin_temperature_c}
    colder = min(temperatures_c, key=temperatures_c.__getitem__)
    warmer = max(temperatures_c, key=temperatures_c.__getitem__)
    try:
        fresh_viscosity_pa_s(resin.viscosity_points, temperatures_c[colder])
    except OutOfRangeError as error:
        yield _beyond_points(colder, temperatures_c[colder], error)
    try:
        gel_time_s(resin.gel_time_points, temperatures_c[warmer], resin.initiator.level_percent)
    except OutOfRangeError as error:
        short = _short_level(resin, temperatures_c[warmer])
        yield _beyond_points(warmer, temperatures_c[warmer], error) if short is None else short


def _short_level(resin: ResinDocument, temperature_c: float) -> Fault | None:
    """Where other levels are measured round this temperature and one that is needed is not: that is what is short."""
    at_level: defaultdict[float, list[tuple[int, float]]] = defaultdict(list)
    for place, point in enumerate(resin.gel_time_points):
        at_level[point.initiator_percent].append((place, point.temperature_c))
    asked = resin.initiator.level_percent
    around = {max((each for each in at_level if each <= asked), default=0.0)}
    around.add(min((each for each in at_level if each >= asked), default=0.0))
    reach = {
        level: min(each_c for _, each_c in rows) <= temperature_c <= max(each_c for _, each_c in rows)
        for level, rows in at_level.items()
    }
    short = [level for level in sorted(around & set(at_level)) if not reach[level]]
    if not short or not any(reach.values()):
        return None
    rows = at_level[short[0]]
    measured = ", ".join(f"{each_c:g}" for each_c in sorted(each_c for _, each_c in rows))
    return Fault(
        path=pointer("resin", "gel_time_points", rows[0][0]),
        found=f"gel times with {short[0]:g} % of initiator at {measured} degrees C alone",
        expected=f"some on both sides of {temperature_c:g} degrees C, as with the other levels: the level of "
        f"{asked:g} % needs them",
        remedy="test this level at another temperature too, or enter none with it",
    )


def _beyond_points(field: str, temperature_c: float, error: OutOfRangeError) -> Fault:
    return Fault(
        path=pointer("process", field),
        found=f"{temperature_c:g} degrees C",
        expected=f"a temperature within the data of the resin: {error}",
        remedy="add points to the resin that reach this temperature",
    )
