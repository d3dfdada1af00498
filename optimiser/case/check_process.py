"""Resin, pressures and temperatures that must agree with each other."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from itertools import pairwise

from optimiser.case.case_document import CaseDocument
from optimiser.case.pointer import pointer
from optimiser.case.process_document import MeteringMachine
from optimiser.case.resin_document import ResinDocument
from optimiser.errors import Fault, OutOfRangeError
from optimiser.physics.arrhenius import SAME_TEMPERATURE_K
from optimiser.physics.gel_clock import gel_time_between_points_s
from optimiser.physics.resin_viscosity import viscosity_between_points_pa_s
from optimiser.units import fraction_from_percent, k_from_c, pa_s_from_mpa_s, s_from_min

Place = tuple[str, float, float]
"""Pointer to a point's value, its temperature in degrees C, its value."""


def process_faults(document: CaseDocument) -> Iterator[Fault]:
    yield from _pressure_faults(document)
    crooked = [*_initiator_faults(document.resin), *_point_faults(document.resin)]
    yield from crooked
    if not crooked:
        yield from _temperature_faults(document)


def _pressure_faults(document: CaseDocument) -> Iterator[Fault]:
    supply, process = document.supply, document.process
    if not isinstance(supply, MeteringMachine):
        return
    if supply.pressure_cap_mbar_abs > process.ambient_mbar_abs:
        yield Fault(
            path=pointer("supply", "pressure_cap_mbar_abs"),
            found=f"{supply.pressure_cap_mbar_abs:g} mbar absolute",
            expected=f"at most ambient, {process.ambient_mbar_abs:g} mbar: above it resin lifts the bag",
        )
    if supply.pressure_cap_mbar_abs <= process.vacuum_mbar_abs:
        yield Fault(
            path=pointer("supply", "pressure_cap_mbar_abs"),
            found=f"{supply.pressure_cap_mbar_abs:g} mbar absolute",
            expected=f"more than the vacuum under the bag, {process.vacuum_mbar_abs:g} mbar absolute",
        )


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
    measured = [point.initiator_percent for point in resin.gel_time_points]
    if not min(measured) <= level <= max(measured):
        yield Fault(
            path=path,
            found=f"{level:g} %",
            expected=f"a level the gel times are measured at, {min(measured):g} to {max(measured):g} %",
            remedy="add gel times measured at this level",
        )


def _point_faults(resin: ResinDocument) -> Iterator[Fault]:
    by_level: defaultdict[float, list[Place]] = defaultdict(list)
    for i, gel in enumerate(resin.gel_time_points):
        path = pointer("resin", "gel_time_points", i, "gel_time_min")
        by_level[gel.initiator_percent].append((path, gel.temperature_c, gel.gel_time_min))
    viscosities: list[Place] = []
    for i, point in enumerate(resin.viscosity_points):
        path = pointer("resin", "viscosity_points", i, "viscosity_mpa_s")
        viscosities.append((path, point.temperature_c, point.viscosity_mpa_s))
    yield from _not_falling(viscosities, "viscosity")
    for places in by_level.values():
        yield from _not_falling(places, "gel time")


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


def _temperature_faults(document: CaseDocument) -> Iterator[Fault]:
    """Viscosity is taken at the colder, gel time at the warmer of mould and resin: both on the safe side."""
    process, resin = document.process, document.resin
    temperatures_c = {
        "mould_temperature_c": process.mould_temperature_c,
        "resin_temperature_c": process.resin_temperature_c,
    }
    colder = min(temperatures_c, key=temperatures_c.__getitem__)
    warmer = max(temperatures_c, key=temperatures_c.__getitem__)
    try:
        _viscosity_pa_s(resin, temperatures_c[colder])
    except OutOfRangeError as error:
        yield _beyond_points(colder, temperatures_c[colder], error)
    try:
        _gel_time_s(resin, temperatures_c[warmer])
    except OutOfRangeError as error:
        yield _beyond_points(warmer, temperatures_c[warmer], error)


def _viscosity_pa_s(resin: ResinDocument, temperature_c: float) -> float:
    points = ((k_from_c(p.temperature_c), pa_s_from_mpa_s(p.viscosity_mpa_s)) for p in resin.viscosity_points)
    return viscosity_between_points_pa_s(tuple(points), k_from_c(temperature_c))


def _gel_time_s(resin: ResinDocument, temperature_c: float) -> float:
    points = (
        (k_from_c(p.temperature_c), fraction_from_percent(p.initiator_percent), s_from_min(p.gel_time_min))
        for p in resin.gel_time_points
    )
    return gel_time_between_points_s(
        tuple(points),
        temperature_k=k_from_c(temperature_c),
        initiator_fraction=fraction_from_percent(resin.initiator.level_percent),
    )


def _beyond_points(field: str, temperature_c: float, error: OutOfRangeError) -> Fault:
    return Fault(
        path=pointer("process", field),
        found=f"{temperature_c:g} degrees C",
        expected=f"a temperature within the data of the resin: {error}",
        remedy="add points to the resin that reach this temperature",
    )
