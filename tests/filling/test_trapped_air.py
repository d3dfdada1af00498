"""Air that resin has closed in presses back: against Boyle's law and the fronts that SciPy integrates with it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from optimiser.filling.front_state import FrontState
from optimiser.filling.trapped_air import TrappedAir, trapped_air
from optimiser.part.part import LaminateArea
from optimiser.part.sequence import Action, Step, Trigger, TriggerKind
from optimiser.physics.trapped_gas import compressed_volume_m3

CLOSED_IN_PA, SUPPLY_PA = 5e3, 9e4
VISCOSITY_PA_S, PERMEABILITY_M2, POROSITY, THICKNESS_M = 0.25, 1e-9, 0.5, 5e-3
ISLAND_M = ((0.4, 0.3), (0.7, 0.3), (0.7, 0.6), (0.4, 0.6))


def _left_m3(lock: Any) -> float:
    return compressed_volume_m3(
        volume_m3=lock.pore_m3, trapped_at_pa=CLOSED_IN_PA, pressed_to_pa=CLOSED_IN_PA + lock.pressed_by_pa
    )


def test_a_front_that_presses_air_together_goes_as_its_integrated_speed(mould: Any) -> None:
    """The far end shut when the front is 0.85 m in: dx/dt = K (P - p(x)) / (phi mu x), p (L - x) stays (Boyle).

    0.5 % of the length: pressures of a step are those of its end. The run ends when a twentieth of what resin gets of
    the region by Boyle's law is still to come.
    """
    length_m, cells, shut_s = 2.0, 40, 500.0
    part = mould.strip(length_m, cells, mould.laminate())
    shut = mould.at_clock(Action.CLAMP, "V", shut_s)
    run = mould.fill(part, length_m / cells, *mould.open_at_start("0"), shut, trapped_air_pa=CLOSED_IN_PA).run
    (lock,) = run.locks
    per_m = POROSITY * THICKNESS_M * length_m / cells
    held_m = lock.pore_m3 / per_m

    def speed(_: float, x_m: np.ndarray) -> np.ndarray:
        against_pa = CLOSED_IN_PA * (held_m / (length_m - x_m) - 1.0)
        return PERMEABILITY_M2 * (SUPPLY_PA - against_pa) / (POROSITY * VISCOSITY_PA_S * x_m)

    path = solve_ivp(speed, (shut_s, run.end_s), [length_m - held_m], method="Radau", rtol=1e-9, dense_output=True)
    after = run.history.time_s >= lock.at_s
    found_m = run.history.injected_m3[after] / per_m
    assert found_m == pytest.approx(path.sol(run.history.time_s[after])[0], abs=0.005 * length_m)
    at_rest_m3 = lock.pore_m3 * CLOSED_IN_PA / (CLOSED_IN_PA + SUPPLY_PA)
    still_to_come = (_left_m3(lock) - at_rest_m3) / (lock.pore_m3 - at_rest_m3)
    assert 0 < still_to_come < 0.06
    assert not run.clean
    assert not run.stalled


def test_a_neighbour_gets_what_trapped_air_no_longer_takes(mould: Any) -> None:
    """One line midway behind a hose that takes a third of the pressure, one end shut: both fronts by SciPy's Radau.

    p_m g = P g - flow to both sides. The open side is wet within 0.2 % of its time; without air it takes 5 % longer.
    """
    half_m, cells, shut_s = 1.0, 40, 1.0
    width_m = 2 * half_m / cells
    open_m4 = PERMEABILITY_M2 * THICKNESS_M * width_m
    hose_m3 = open_m4 / (0.5 * half_m)
    part = mould.strip(
        2 * half_m, cells, mould.laminate(), lines_at_m=(half_m,), vents=(mould.vent("W", (0.0, 0.0), (0.0, width_m)),)
    )
    shut = mould.at_clock(Action.CLAMP, "W", shut_s)
    how = {"feed_conductance_m3": hose_m3}
    filled = mould.fill(part, width_m, *mould.open_at_start("0"), shut, trapped_air_pa=CLOSED_IN_PA, **how)
    without = mould.fill(part, width_m, *mould.open_at_start("0"), shut, **how).run

    def speeds(_: float, x_m: np.ndarray) -> np.ndarray:
        ahead_pa = np.array([CLOSED_IN_PA * x_m[0] / (half_m - x_m[0]), 0.0])
        out_m3 = open_m4 / x_m
        at_line_pa = (hose_m3 * SUPPLY_PA + out_m3 @ ahead_pa) / (hose_m3 + out_m3.sum())
        return PERMEABILITY_M2 * (at_line_pa - ahead_pa) / (POROSITY * VISCOSITY_PA_S * x_m)

    def is_wet(_: float, x_m: np.ndarray) -> float:
        return float(x_m[1] - half_m)

    is_wet.terminal = True  # type: ignore[attr-defined]
    path = solve_ivp(speeds, (0.0, 1e5), [1e-3, 1e-3], method="Radau", rtol=1e-9, events=is_wet)
    far_s = filled.run.arrival_s[cells - 1]
    assert far_s == pytest.approx(path.t[-1], rel=0.002)
    assert without.arrival_s[cells - 1] == pytest.approx(1.05 * far_s, rel=0.005)


@pytest.mark.parametrize("most_flow_m3_s", [None, 4e-7])
@pytest.mark.parametrize("rise_m", [0.0, 1.0])
def test_resin_and_air_together_fill_the_part(mould: Any, most_flow_m3_s: float | None, rise_m: float) -> None:
    """Four bays, all lines at once: what went in, what is left of the air and what the vent drew, to a billionth.

    So each of the three regions has kept its pressure times its volume.
    """
    part = mould.strip(4.0, 80, mould.laminate(), lines_at_m=(0.0, 1.0, 2.0, 3.0), rise_m=rise_m)
    clamp = replace(mould.open_on_reach("V"), action=Action.CLAMP)
    steps = (*mould.open_at_start("0", "1", "2", "3"), clamp)
    filled = mould.fill(part, 0.05, *steps, trapped_air_pa=CLOSED_IN_PA, most_flow_m3_s=most_flow_m3_s)
    run, network = filled.run, filled.network
    assert len([lock for lock in run.locks if lock.fails]) == 3
    left_m3 = sum(_left_m3(lock) for lock in run.locks)
    whole_m3 = network.volume_m3.sum() - network.volume_m3[network.manifold]
    found_m3 = run.history.injected_m3[-1] - run.vent_drawn_m3.sum() + left_m3
    assert found_m3 == pytest.approx(whole_m3, rel=1e-9)
    assert all(lock.pressed_by_pa > 0.3 * SUPPLY_PA for lock in run.locks)


def test_thicker_resin_presses_the_same_air_on_a_slower_clock(mould: Any) -> None:
    """Three times as thick, three times as long: the law knows pressures and no clock, so look-ups still hold."""
    part = mould.strip(2.0, 40, mould.laminate(), lines_at_m=(0.0, 1.0))
    thin, thick = (
        mould.fill(
            part, 0.05, *mould.open_at_start("0", "1"), trapped_air_pa=CLOSED_IN_PA, viscosity_pa_s=viscosity_pa_s
        ).run
        for viscosity_pa_s in (0.25, 0.75)
    )
    assert thick.wet_out_s == pytest.approx(3 * thin.wet_out_s, rel=1e-3)
    assert thick.locks[0].pressed_by_pa == pytest.approx(thin.locks[0].pressed_by_pa, rel=1e-3)


def test_the_crew_does_not_wait_for_what_air_keeps_dry(mould: Any) -> None:
    """An island a hundred times tighter in the first bay: the next tap waits until its air gives way no more.

    Then it is opened, the rest of the part is wet, and the sequence fails all the same.
    """
    part = mould.panel(
        2.0,
        1.0,
        mould.laminate(),
        (mould.feed_line("A", (0.0, 0.0), (0.0, 1.0)), mould.feed_line("B", (1.0, 0.0), (1.0, 1.0))),
        (mould.vent("V", (2.0, 0.0), (2.0, 1.0)),),
        patches=(LaminateArea(name="island", laminate=mould.laminate(1e-11), border_m=ISLAND_M),),
    )
    wet_up_to = Step(action=Action.OPEN, label="B", trigger=Trigger(kind=TriggerKind.WET_UP_TO, place="B"))
    how = {"trapped_air_pa": CLOSED_IN_PA, "smallest_lock_m2": 0.03}
    filled = mould.fill(part, 0.1, *mould.open_at_start("A"), wet_up_to, **how)
    run, network = filled.run, filled.network
    (lock,) = (each for each in run.locks if each.fails)
    opened_s = {one.step.label: one.done_s for one in run.steps}["B"]
    dry = ~np.isfinite(run.arrival_s[: network.cell_count])
    assert lock.at_s < opened_s < run.wet_out_s < np.inf
    assert dry.any()
    assert set(np.flatnonzero(dry)) <= set(lock.nodes.tolist())
    assert not run.clean


def test_what_does_not_matter_fills_as_if_it_held_no_air(mould: Any) -> None:
    """Regions below the smallest area may be the lattice's: the run is the very same."""
    part = mould.strip(2.0, 40, mould.laminate(), lines_at_m=(0.0, 1.0))
    how = {"smallest_lock_m2": 1.0}
    one, other = (
        mould.fill(part, 0.05, *mould.open_at_start("0", "1"), trapped_air_pa=pa, **how).run
        for pa in (None, CLOSED_IN_PA)
    )
    assert one.locks
    assert one.clean
    assert np.array_equal(one.arrival_s, other.arrival_s)


def test_a_region_that_resin_parts_is_two_of_one_pressure(mould: Any) -> None:
    """Cells 2 to 8 hold air; when cell 5 is wet and cell 2 half full both halves have what five cells had in seven."""
    network = mould.reduce(mould.strip(1.0, 10, mould.laminate()), 0.1)
    held = np.zeros(network.node_count, dtype=bool)
    held[2:9] = True
    wet = np.zeros(network.node_count, dtype=bool)
    before = trapped_air(network, FrontState(saturation=0.0 * wet, wet=wet), held, None, CLOSED_IN_PA)
    assert isinstance(before, TrappedAir)
    saturation = np.zeros(network.node_count)
    saturation[[5, 2]] = 1.0, 0.5
    after = trapped_air(network, FrontState(saturation=saturation, wet=saturation == 1), held, before, CLOSED_IN_PA)
    assert isinstance(after, TrappedAir)
    assert [after.piece[cell] for cell in (1, 2, 4, 5, 6, 8)] == [-1, 0, 0, -1, 1, 1]
    assert after.pressure_pa == pytest.approx(CLOSED_IN_PA * 7 / 5.5)
    assert after.amount_pa_m3.sum() == pytest.approx(before.amount_pa_m3.sum())
