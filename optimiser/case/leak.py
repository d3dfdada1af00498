"""What a bag that just meets the shop's own drop test lets in over the shot."""

from __future__ import annotations

from collections.abc import Iterator

from optimiser.case.amounts_document import Leak
from optimiser.case.printed_minutes import minutes_down
from optimiser.case.read_case import DropTestLimit
from optimiser.part.shot import Process
from optimiser.physics.vacuum import (
    air_let_in_kg,
    air_let_in_m3,
    held_pressure_pa,
    leak_rate_pa_m3_s,
    least_pump_speed_m3_s,
    rise_time_s,
)
from optimiser.units import litres_from_m3, m3_h_from_m3_s, mbar_from_pa, min_from_s


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
        least_pump_m3_per_h=None
        if drop.pump_m3_s is not None
        else m3_h_from_m3_s(least_pump_speed_m3_s(leak_pa_m3_s=leak, pressure_pa=process.vacuum_pa)),
    )


def loose_drop_test(drop: DropTestLimit | None, process: Process, limit_s: float) -> Iterator[str]:
    """A limit that a bag passes which fills with air within the shot; it takes neither volume nor pump to say so."""
    if drop is None:
        return
    full_s = rise_time_s(
        start_pressure_pa=process.vacuum_pa,
        end_pressure_pa=process.ambient_pa,
        test_pressure_rise_pa=drop.most_rise_pa,
        test_time_s=drop.duration_s,
    )
    if full_s < limit_s:
        yield (
            f"the drop test's limit of {mbar_from_pa(drop.most_rise_pa):g} mbar in {min_from_s(drop.duration_s):g} min "
            f"passes a bag that, with the pump off and leaking on as fast, is full of air after "
            f"{minutes_down(full_s)} min, before the gel limit of minute {minutes_down(limit_s)}: less rise, or "
            "more minutes"
        )
