"""What a bag that just meets the shop's own drop test lets in over the shot."""

from __future__ import annotations

from optimiser.case.amounts_document import Leak
from optimiser.case.read_case import DropTestLimit
from optimiser.part.shot import Process
from optimiser.physics.vacuum import air_let_in_kg, air_let_in_m3, held_pressure_pa, leak_rate_pa_m3_s
from optimiser.units import litres_from_m3, mbar_from_pa


def leak_of(drop: DropTestLimit | None, process: Process, over_s: float) -> Leak | None:
    """None where no limit or no volume is stated: a rise alone tells no leak."""
    if drop is None or drop.bag_m3 is None:
        return None
    leak = leak_rate_pa_m3_s(volume_m3=drop.bag_m3, pressure_rise_pa=drop.most_rise_pa, time_s=drop.duration_s)
    return Leak(
        bag_litres=litres_from_m3(drop.bag_m3),
        leak_mbar_litres_per_s=mbar_from_pa(litres_from_m3(leak)),
        over_s=over_s,
        air_let_in_litres=litres_from_m3(
            air_let_in_m3(leak_pa_m3_s=leak, time_s=over_s, pressure_pa=process.vacuum_pa)
        ),
        air_let_in_g=1e3 * air_let_in_kg(leak_pa_m3_s=leak, time_s=over_s, temperature_k=process.mould_temperature_k),
        pump_holds_mbar_abs=None
        if drop.pump_m3_s is None
        else mbar_from_pa(held_pressure_pa(leak_pa_m3_s=leak, pump_speed_m3_s=drop.pump_m3_s)),
    )
