"""Scatter that a case states: never beyond the resin's data, nor beyond what a bag can hold."""

from __future__ import annotations

from collections.abc import Iterator

from optimiser.case.case_document import CaseDocument
from optimiser.case.pointer import pointer
from optimiser.case.process_document import MeteringMachine
from optimiser.case.say_found import say_found
from optimiser.case.scatter_document import ScatterDocument
from optimiser.case.scatter_values import room_for_temperature_c
from optimiser.case.unknown_name import unknown_name
from optimiser.errors import Fault

_LEAST_VACUUM_MBAR = 0.5


def scatter_faults(document: CaseDocument) -> Iterator[Fault]:
    """The resin must be without fault and its data must hold at the stated temperatures."""
    stated = document.process.scatter
    if stated is None:
        return
    yield from _laminate_faults(document, stated)
    asked_c = stated.temperature_plus_minus_c
    if asked_c:
        room_c = room_for_temperature_c(document, most_c=asked_c)
        if room_c < round(10 * asked_c) / 10:
            yield Fault(
                path=pointer("process", "scatter", "temperature_plus_minus_c"),
                found=f"{asked_c:g} degrees C",
                expected=f"at most {room_c:g} degrees C: nothing is computed beyond the points of the resin",
                remedy="add points to the resin that reach these temperatures",
            )
    yield from _vacuum_faults(document, stated.vacuum_plus_minus_mbar or 0.0)


def _laminate_faults(document: CaseDocument, stated: ScatterDocument) -> Iterator[Fault]:
    seen: set[str] = set()
    for index, row in enumerate(stated.laminates):
        path = pointer("process", "scatter", "laminates", index, "laminate")
        if row.laminate not in document.laminates:
            yield unknown_name(path, row.laminate, document.laminates, noun="laminate")
        elif row.laminate in seen:
            yield Fault(path=path, found=f"{say_found(row.laminate)} a second time", expected="each laminate once")
        seen.add(row.laminate)


def _vacuum_faults(document: CaseDocument, asked_mbar: float) -> Iterator[Fault]:
    vacuum_mbar, supply = document.process.vacuum_mbar_abs, document.supply
    room_mbar = vacuum_mbar - _LEAST_VACUUM_MBAR
    if isinstance(supply, MeteringMachine):
        room_mbar = min(room_mbar, supply.pressure_cap_mbar_abs - vacuum_mbar - _LEAST_VACUUM_MBAR)
    if asked_mbar > max(room_mbar, 0.0):
        yield Fault(
            path=pointer("process", "scatter", "vacuum_plus_minus_mbar"),
            found=f"{asked_mbar:g} mbar",
            expected=f"at most {max(room_mbar, 0.0):g} mbar round {vacuum_mbar:g} mbar absolute: what is under the bag "
            "stays above 0 and below the pressure of the supply",
        )
