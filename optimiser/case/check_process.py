"""Pressures that must agree with each other, and temperatures that must lie within the resin's data."""

from __future__ import annotations

from collections.abc import Iterator

from optimiser.case.case_document import CaseDocument
from optimiser.case.check_resin import resin_faults, temperature_faults
from optimiser.case.check_resin_clock import resin_clock_faults
from optimiser.case.check_scatter import scatter_faults
from optimiser.case.pointer import pointer
from optimiser.case.printed_leak import printed_leak
from optimiser.case.process_document import MOST_PUMP_M3_PER_H, MeteringMachine
from optimiser.errors import Fault
from optimiser.physics.vacuum import held_pressure_pa, leak_rate_pa_m3_s
from optimiser.units import litres_from_m3, m3_from_litres, m3_s_from_m3_h, mbar_from_pa, pa_from_mbar, s_from_min

_ROUND_OFF = 1 + 1e-9
"""A pump that holds just the planned vacuum will do."""


def process_faults(document: CaseDocument) -> Iterator[Fault]:
    yield from _pressure_faults(document)
    yield from _leak_faults(document)
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


def _leak_faults(document: CaseDocument) -> Iterator[Fault]:
    """A bag that the shop's own limit lets pass must not leak more than the pump can draw at the planned vacuum."""
    drop, planned_mbar = document.process.drop_test, document.process.vacuum_mbar_abs
    if drop is None or drop.bag_litres is None:
        return
    leak_pa_m3_s = leak_rate_pa_m3_s(
        volume_m3=m3_from_litres(drop.bag_litres),
        pressure_rise_pa=pa_from_mbar(drop.most_rise_mbar),
        time_s=s_from_min(drop.minutes),
    )
    stated = drop.pump_m3_per_h
    pump_m3_s = m3_s_from_m3_h(MOST_PUMP_M3_PER_H if stated is None else stated)
    pump = "the pump" if stated is not None else f"even a pump of {MOST_PUMP_M3_PER_H:g} m3/h"
    holds_mbar = mbar_from_pa(held_pressure_pa(leak_pa_m3_s=leak_pa_m3_s, pump_speed_m3_s=pump_m3_s))
    if holds_mbar > planned_mbar * _ROUND_OFF:
        yield Fault(
            path=pointer("process", "drop_test"),
            found=f"a limit that lets in {printed_leak(mbar_from_pa(litres_from_m3(leak_pa_m3_s)))} mbar l/s, against "
            f"which {pump} holds {holds_mbar:.1f} mbar absolute at best",
            expected=f"at most the planned vacuum, {planned_mbar:g} mbar absolute: less rise, more minutes, a larger "
            "pump, or a vacuum that it holds",
        )


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
