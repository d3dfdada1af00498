"""Pressures that must agree with each other, and temperatures that must lie within the resin's data."""

from __future__ import annotations

from collections.abc import Iterator

from optimiser.case.case_document import CaseDocument
from optimiser.case.check_resin import resin_faults, temperature_faults
from optimiser.case.check_resin_clock import resin_clock_faults
from optimiser.case.check_scatter import scatter_faults
from optimiser.case.pointer import pointer
from optimiser.case.process_document import MeteringMachine
from optimiser.errors import Fault


def process_faults(document: CaseDocument) -> Iterator[Fault]:
    yield from _pressure_faults(document)
    crooked = list(resin_faults(document.resin))
    yield from crooked
    if crooked:
        return
    beyond = list(
        temperature_faults(
            document.resin,
            mould_temperature_c=document.process.mould_temperature_c,
            resin_temperature_c=document.process.resin_temperature_c,
        )
    )
    yield from beyond or resin_clock_faults(document)
    if not beyond:
        yield from scatter_faults(document)


def _pressure_faults(document: CaseDocument) -> Iterator[Fault]:
    supply, process = document.supply, document.process
    if not isinstance(supply, MeteringMachine):
        return
    if supply.pressure_cap_mbar_abs > process.ambient_mbar_abs:
        yield Fault(
            path=pointer("supply", "pressure_cap_mbar_abs"),
            found=f"{supply.pressure_cap_mbar_abs:g} mbar absolute",
            expected=f"at most ambient, {process.ambient_mbar_abs:g} mbar: a safety rule, "
            "for resin that presses harder than the air lifts the bag",
        )
    if supply.pressure_cap_mbar_abs <= process.vacuum_mbar_abs:
        yield Fault(
            path=pointer("supply", "pressure_cap_mbar_abs"),
            found=f"{supply.pressure_cap_mbar_abs:g} mbar absolute",
            expected=f"more than the vacuum under the bag, {process.vacuum_mbar_abs:g} mbar absolute",
        )
