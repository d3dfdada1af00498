"""Runs under a bag that gives, against the similarity profile (tests/check_values/bag_compliance.csv, derived)."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, NamedTuple

import numpy as np
import pytest

from optimiser.filling.fill_run import FillRun
from optimiser.filling.fluidity_time import FluidityClock
from optimiser.filling.front_state import Drive, FrontState, Openings
from optimiser.filling.front_step import FrontStepper
from optimiser.filling.simulate import FillLimits, simulate
from optimiser.network.flow_network import FlowNetwork
from optimiser.part.laminate import Compaction, Laminate, Layer, LayerKind
from optimiser.part.part import Part
from optimiser.part.sequence import Action, Sequence
from optimiser.part.shot import Crew
from optimiser.physics.bag_compliance import compacted_fibre_fraction, compliant_pressure_pa

ATMOSPHERE_PA, REFERENCE, EXPONENT, FLOOR = 1e5, 0.55, 0.1, 0.3
KOZENY_M2, VISCOSITY_PA_S, CELLS = 4e-10, 0.2, 40


class Row(NamedTuple):
    """Of check values 1.11: pressures, Pa absolute, and times, s."""

    inlet_pa: float
    vacuum_pa: float
    compliant_s: float
    rigid_s: float


ROWS = (Row(9e4, 5e3, 2880.84593, 4294.88626), Row(9.5e4, 1e3, 2471.27776, 3955.24858))


def dry_fraction(row: Row) -> float:
    return fraction_at(row.vacuum_pa)


def fraction_at(resin_pa: float) -> float:
    return compacted_fibre_fraction(
        compaction_pa=ATMOSPHERE_PA - resin_pa,
        reference_fibre_fraction=REFERENCE,
        reference_pa=1e5,
        stiffening_exponent=EXPONENT,
        least_fibre_fraction=FLOOR,
    )


def giving(mould: Any, row: Row, exponent: float = EXPONENT) -> Laminate:
    dry = dry_fraction(row)
    laminate = mould.laminate(KOZENY_M2 * (1 - dry) ** 3 / dry**2, porosity=1 - dry)
    return replace(laminate, compaction=Compaction(stiffening_exponent=exponent, least_fibre_fraction=FLOOR))


def drive_of(row: Row) -> Drive:
    return Drive(
        supply_pressure_pa=row.inlet_pa - row.vacuum_pa,
        most_flow_m3_s=None,
        resin_density_kg_m3=1100.0,
        compaction_pa=ATMOSPHERE_PA - row.vacuum_pa,
    )


def run_of(mould: Any, network: FlowNetwork, row: Row, viscosity_pa_s: float = VISCOSITY_PA_S) -> FillRun:
    return simulate(
        network,
        drive_of(row),
        FluidityClock.of_constant_viscosity(viscosity_pa_s),
        Sequence(steps=mould.open_at_start("0")),
        Crew(hands=1, action_s=0.0),
        FillLimits(longest_s=1e6, smallest_lock_m2=1e-6),
    )


def strip(mould: Any, row: Row, exponent: float = EXPONENT) -> FlowNetwork:
    network: FlowNetwork = mould.reduce(mould.strip(1.0, CELLS, giving(mould, row, exponent)), 1.0 / CELLS)
    return network


@pytest.mark.parametrize("row", ROWS, ids=str)
def test_a_straight_front_is_as_much_sooner_as_the_profile_says(mould: Any, row: Row) -> None:
    """0.6708 and 0.6248 of the rigid bed as dense as the dry side. Half a per cent: 64 steps (measured 0.3 %)."""
    network = strip(mould, row)
    wet_s = run_of(mould, network, row).wet_out_s
    rigid_s = run_of(mould, replace(network, give=None), row).wet_out_s
    assert wet_s == pytest.approx(row.compliant_s, rel=5e-3)
    assert rigid_s == pytest.approx(row.rigid_s, rel=1e-3)
    assert wet_s / rigid_s == pytest.approx(row.compliant_s / row.rigid_s, rel=5e-3)


@pytest.mark.parametrize("row", ROWS, ids=str)
def test_it_is_as_thick_along_the_way_as_the_profile_says(mould: Any, row: Row) -> None:
    """Fibre volume fraction in the middle of each cell when the last is full; 1 %, the front's own cell apart."""
    network = strip(mould, row)
    holds = run_of(mould, network, row).end_saturation[: network.cell_count]
    dry = dry_fraction(row)
    found = 1 / (1 + holds * (1 / dry - 1))
    order = np.argsort(network.x_m[: network.cell_count])
    for cell in order[:-1]:
        resin_pa = compliant_pressure_pa(
            at_share=float(network.x_m[cell]),
            atmosphere_pa=ATMOSPHERE_PA,
            inlet_pa=row.inlet_pa,
            vacuum_pa=row.vacuum_pa,
            reference_fibre_fraction=REFERENCE,
            reference_pa=1e5,
            stiffening_exponent=EXPONENT,
            least_fibre_fraction=FLOOR,
        )
        assert found[cell] == pytest.approx(fraction_at(resin_pa), rel=0.01)


def test_what_was_let_in_lies_in_the_part_or_in_the_vents(mould: Any) -> None:
    """To a millionth of a millionth of it."""
    row = ROWS[0]
    network = strip(mould, row)
    run = run_of(mould, network, row)
    held_m3 = (network.volume_m3 * run.end_saturation).sum() - network.volume_m3[network.manifold]
    assert run.history.injected_m3[-1] == pytest.approx(held_m3 + run.vent_drawn_m3.sum(), rel=1e-9)
    dry_m3 = network.volume_m3[: network.cell_count].sum()
    assert run.history.injected_m3[-1] > 1.15 * dry_m3


def test_in_the_hold_it_bleeds_back_to_what_it_was_dry(mould: Any) -> None:
    """All taps shut, vents open, a day at this viscosity: the swelling of the fill runs out of the vents, no more."""
    row = ROWS[0]
    network = strip(mould, row)
    run = run_of(mould, network, row)
    cells = slice(0, network.cell_count)
    swollen_m3 = (network.volume_m3 * (run.end_saturation - 1.0))[cells].sum()
    stepper = FrontStepper(network, drive_of(row))
    state = FrontState(saturation=run.end_saturation, wet=np.ones(network.node_count, dtype=bool))
    bled_m3 = 0.0
    for dt_s in (10.0, 100.0, 1e3, 1e4, 1e5, 1e6):
        step = stepper.advance(
            state,
            Openings(tap_open=np.array([False]), vent_open=np.array([True])),
            dt_s=dt_s,
            dtheta=dt_s / VISCOSITY_PA_S,
            guess=state.wet,
            capped=False,
        )
        state, bled_m3 = step.state, bled_m3 + step.vent_volume_m3.sum()
        assert step.injected_m3 == 0.0
    assert bled_m3 == pytest.approx(swollen_m3, rel=1e-3)
    assert state.saturation[cells] == pytest.approx(1.0, abs=1e-3)


def test_thicker_resin_takes_the_same_path_on_a_slower_clock(mould: Any) -> None:
    """Three times as thick, three times as long: so a look-up in fluidity time holds here too."""
    row = ROWS[0]
    network = strip(mould, row)
    thin, thick = run_of(mould, network, row), run_of(mould, network, row, 3 * VISCOSITY_PA_S)
    assert thick.wet_out_s == pytest.approx(3 * thin.wet_out_s, rel=1e-9)
    assert thick.end_saturation == pytest.approx(thin.end_saturation, rel=1e-9)


def test_an_exponent_of_nothing_is_a_rigid_bed(mould: Any) -> None:
    """Not only as fast: the very same network."""
    assert strip(mould, ROWS[0], 0.0).give is None


def meshed(mould: Any) -> Part:
    plies = giving(mould, ROWS[0])
    mesh = Layer(
        name="mesh",
        kind=LayerKind.FLOW_MESH,
        thickness_m=1.2e-3,
        porosity=0.85,
        permeability_along_m2=3e-9,
        permeability_across_m2=3e-9,
        angle_rad=0.0,
    )
    ply = replace(plies.layers[0], permeability_through_m2=2e-12)
    laminate = replace(plies, layers=(ply, mesh))
    line, vent = mould.feed_line("0", (0.0, 0.0), (0.0, 0.3)), mould.vent("V", (0.9, 0.0), (0.9, 0.3))
    part: Part = mould.panel(0.9, 0.3, laminate, (line,), (vent,))
    return part


def test_plies_under_mesh_give_and_the_mesh_does_not(mould: Any) -> None:
    """Mesh cells hold no more than their pores; what lies beneath swells, most near the line."""
    network = mould.reduce(meshed(mould), 0.03)
    run = run_of(mould, network, ROWS[0])
    cells, beneath = slice(0, network.cell_count), slice(network.cell_count, network.sheet_count)
    assert run.end_saturation[cells] == pytest.approx(1.0, abs=1e-9)
    near = network.x_m[beneath] < 0.1
    assert run.end_saturation[beneath][near].mean() > 1.3
    held_m3 = (network.volume_m3 * run.end_saturation).sum() - network.volume_m3[network.manifold]
    assert run.history.injected_m3[-1] == pytest.approx(held_m3 + run.vent_drawn_m3.sum(), rel=1e-9)


def test_with_the_tap_shut_the_front_goes_on_by_what_had_swollen(mould: Any) -> None:
    """Shut half way: what lies in the part then still wets more of it, until it is as thin as the front lets it be."""
    row = ROWS[0]
    network = strip(mould, row)
    shut_s = row.compliant_s / 4
    steps = (*mould.open_at_start("0"), mould.at_clock(Action.CLOSE, "0", shut_s))
    run = simulate(
        network,
        drive_of(row),
        FluidityClock.of_constant_viscosity(VISCOSITY_PA_S),
        Sequence(steps=steps),
        Crew(hands=1, action_s=0.0),
        FillLimits(longest_s=40 * row.compliant_s, smallest_lock_m2=1e-6),
    )
    at_shut = int(np.searchsorted(run.history.time_s, shut_s + 1e-6))
    let_in_m3 = run.history.injected_m3[at_shut]
    assert run.history.injected_m3[-1] == pytest.approx(let_in_m3, rel=1e-12)
    assert run.history.wet_share[at_shut] == pytest.approx(0.5, abs=0.02)
    dry_m3 = network.volume_m3[: network.cell_count].sum()
    assert run.history.wet_share[-1] == pytest.approx(let_in_m3 / dry_m3, rel=0.01)


def test_a_container_above_the_part_rests_on_the_floor_of_the_law(mould: Any) -> None:
    """Resin that presses harder than the air leaves nothing on the plies: as loose as stated, and no looser."""
    row = ROWS[0]
    network = strip(mould, row)
    drive = replace(drive_of(row), supply_pressure_pa=1.05e5 - row.vacuum_pa)
    run = simulate(
        network,
        drive,
        FluidityClock.of_constant_viscosity(VISCOSITY_PA_S),
        Sequence(steps=mould.open_at_start("0")),
        Crew(hands=1, action_s=0.0),
        FillLimits(longest_s=1e6, smallest_lock_m2=1e-6),
    )
    loosest = (1 / FLOOR - 1) / (1 / dry_fraction(row) - 1)
    assert np.isfinite(run.wet_out_s)
    assert 0.95 * loosest < run.end_saturation[: network.cell_count].max() <= loosest * 1.005
