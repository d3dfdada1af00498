"""Vents whose line and hose are pipes: what runs in fills them, is held up by them, and shuts off what lies behind.

Expected: Hagen-Poiseuille in series with the bed, the bays of one even strip (tests/check_values, parallel_lines) the
other way round: there the hose stands before the bed, here behind it. All derived.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from optimiser.filling.front_state import Drive, FrontState, Openings
from optimiser.filling.front_step import FrontStepper
from optimiser.part.part import LaminateArea, Part
from optimiser.physics.pipe_flow import tube_conductance_m3, tube_volume_m3

LENGTH_M, WIDTH_M, CELL_M = 1.0, 0.1, 0.025
THICKNESS_M, POROSITY, PERMEABILITY_M2 = 5e-3, 0.5, 1e-9
SUPPLY_PA, VISCOSITY_PA_S = 9e4, 0.25
BED_1_M3 = LENGTH_M / (PERMEABILITY_M2 * THICKNESS_M * WIDTH_M)
"""Resistance of the wet strip, viscosity taken out."""
BAY_S = POROSITY * VISCOSITY_PA_S * LENGTH_M**2 / (2 * PERMEABILITY_M2 * SUPPLY_PA)
HOSE = {"hose_bore_m": 3e-3, "hose_length_m": 2.0}
HOSE_1_M3 = 1 / tube_conductance_m3(bore_m=3e-3, length_m=2.0)
ROUND_OFF = 1e-9


def strip(mould: Any, **hose: float) -> Part:
    """A strip fed along its near edge, the vent along its far one; as far as it goes, flow in one dimension."""
    line = mould.feed_line("A", (0.0, 0.0), (0.0, WIDTH_M), bore_m=0.02)
    vent = replace(mould.vent("V", (LENGTH_M, 0.0), (LENGTH_M, WIDTH_M)), **hose)
    laminate = mould.laminate(PERMEABILITY_M2, thickness_m=THICKNESS_M, porosity=POROSITY)
    return mould.panel(LENGTH_M, WIDTH_M, laminate, (line,), (vent,))


def steady_pa(network: Any, *, clamped: bool = False) -> np.ndarray:
    """Pressures once all is full, hose and vent line too."""
    drive = Drive(supply_pressure_pa=SUPPLY_PA, most_flow_m3_s=None, resin_density_kg_m3=1100.0)
    full = np.ones(network.node_count)
    step = FrontStepper(network, drive).advance(
        FrontState(saturation=full, wet=full > 0),
        Openings(tap_open=np.array([True]), vent_open=np.array([not clamped])),
        dt_s=1.0,
        dtheta=4.0,
        guess=full > 0,
        capped=False,
    )
    return np.asarray(step.pressure_time / 4.0)


def test_a_flooded_hose_takes_its_share_of_the_pressure(mould: Any) -> None:
    """Flow dP / (mu (R_bed + R_hose)); before the hose R_hose / (R_bed + R_hose) of the pressure, where now none was.

    Half a per cent: a feed line at the edge lies a hundredth of a cell from it, and hoses lose a little.
    """
    network = mould.reduce(strip(mould, **HOSE), CELL_M)
    pressure_pa = steady_pa(network)
    vent = network.vents[0].pipe
    expected = HOSE_1_M3 / (BED_1_M3 + HOSE_1_M3)
    assert 0.1 < expected < 0.9
    assert pressure_pa[vent.far_node] / SUPPLY_PA == pytest.approx(expected, rel=5e-3)
    assert pressure_pa[vent.hose_node] / SUPPLY_PA == pytest.approx(expected / 2, rel=5e-3)


def test_a_vent_that_is_no_pipe_holds_the_vacuum_whatever_its_hose(mould: Any) -> None:
    """Without the bore of the hose all is as before: no node more, and no pressure at the vent."""
    network = mould.reduce(strip(mould, hose_length_m=50.0), CELL_M)
    assert network.vents[0].pipe is None
    assert network.node_count == mould.reduce(strip(mould), CELL_M).node_count
    assert np.all(steady_pa(network)[network.vents[0].cells] < 0.02 * SUPPLY_PA)


def test_resin_fills_line_and_hose_and_then_stands_at_the_pressure_of_the_series(mould: Any) -> None:
    """The strip as if the vent were none; then V mu (R_bed + R_hose / 2) / dP for the volume V of the hose.

    Beyond the vent lies one cell of the bed, counted in V, and then one a ten-thousandth as open, so that the run goes
    on and all flow goes to the pot. Hose to 3 %, as that cell begins to fill before the line does (measured 2 %);
    pressure to 2 %, as the line, 3 mm like the hose, holds resin up too (1.5 %).
    """
    bed, cell_m = strip(mould, **HOSE), CELL_M / 2
    dense = mould.laminate(PERMEABILITY_M2 * 1e-4, thickness_m=THICKNESS_M, porosity=POROSITY)
    from_m = LENGTH_M + cell_m
    beyond = ((from_m, 0.0), (1.2, 0.0), (1.2, WIDTH_M), (from_m, WIDTH_M))
    vent = replace(bed.vents[0], bore_m=3e-3)
    end = mould.vent("END", (1.2, 0.0), (1.2, WIDTH_M))
    part = mould.panel(
        1.2,
        WIDTH_M,
        bed.areas[0].laminate,
        bed.feed_lines,
        (vent, end),
        patches=(LaminateArea(name="dense", laminate=dense, border_m=beyond),),
    )
    filled = mould.fill(part, cell_m, *mould.open_at_start("A"), longest_s=40 * BAY_S)
    network, run = filled.network, filled.run
    pipe = network.vents[0].pipe
    bed_cells = np.flatnonzero(network.x_m[: network.cell_count] < LENGTH_M)
    bed_s = run.arrival_s[bed_cells].max()
    assert bed_s == pytest.approx(BAY_S, rel=2e-3)
    filled_m3 = tube_volume_m3(bore_m=3e-3, length_m=2.0) + cell_m * WIDTH_M * THICKNESS_M * POROSITY
    hose_s = filled_m3 * VISCOSITY_PA_S * (BED_1_M3 + HOSE_1_M3 / 2) / SUPPLY_PA
    assert run.arrival_s[pipe.hose_node] - run.arrival_s[pipe.nodes].max() == pytest.approx(hose_s, rel=0.03)
    expected_pa = SUPPLY_PA * HOSE_1_M3 / (BED_1_M3 + HOSE_1_M3)
    assert run.history.vent_pressure_pa[-1, 0] == pytest.approx(expected_pa, rel=0.02)
    assert run.history.vent_pressure_pa[-1, 1] == 0.0


def test_what_a_vent_drew_and_what_lies_in_the_part_is_what_was_let_in(mould: Any) -> None:
    """To a thousandth of a millionth of it, with resin in line, hose and pot of the vent."""
    part = two_ways(mould, outlet_share=1.0)
    filled = mould.fill(part, CELL_M, *mould.open_at_start("A"))
    network, run = filled.network, filled.run
    assert np.isfinite(run.wet_out_s)
    assert run.vent_drawn_m3[0] > run.vent_held_m3[0] > 0
    outside = [network.manifold, *network.vents[0].pipe.nodes, network.vents[0].pipe.hose_node]
    inside_m3 = np.delete(network.volume_m3, outside).sum()
    assert run.history.injected_m3[-1] == pytest.approx(inside_m3 + run.vent_drawn_m3.sum(), rel=1e-6)


def two_ways(mould: Any, *, outlet_share: float, bore_m: float = 0.01, pipe: bool = True) -> Part:
    """A panel fed at its near end, the vent along one side from there to the far end."""
    line = mould.feed_line("A", (0.0, 0.0), (0.0, 0.4), bore_m=0.02)
    vent = replace(mould.vent("V", (0.6, 0.4), (LENGTH_M, 0.4)), hose_length_m=0.5, outlet_share=outlet_share)
    vent = replace(vent, bore_m=bore_m, hose_bore_m=0.006 if pipe else None)
    laminate = mould.laminate(PERMEABILITY_M2, thickness_m=THICKNESS_M, porosity=POROSITY)
    return mould.panel(LENGTH_M, 0.4, laminate, (line,), (vent,))


def test_a_vent_whose_hose_floods_first_drains_nothing_of_its_length(mould: Any) -> None:
    """The hose at the near end stands in resin long before the far end is wet, and the air there is locked.

    With the hose at the far end and a bore that holds what runs in, or a vent that holds vacuum all along, none is.
    """
    near, far, rigid = (
        mould.fill(part, CELL_M, *mould.open_at_start("A")).run
        for part in (
            two_ways(mould, outlet_share=0.0, bore_m=0.04),
            two_ways(mould, outlet_share=1.0, bore_m=0.04),
            two_ways(mould, outlet_share=0.0, bore_m=0.01, pipe=False),
        )
    )
    assert near.locked_pore_m3 > 0.1 * POROSITY * THICKNESS_M * 0.4 * LENGTH_M
    assert not far.locks
    assert not rigid.locks


def test_a_clamped_vent_draws_nothing_more(mould: Any) -> None:
    """Its line stays full of resin under the bag at the pressure round it; hose and pot get no more."""
    network = mould.reduce(strip(mould, **HOSE), CELL_M)
    pipe = network.vents[0].pipe
    pressure_pa = steady_pa(network, clamped=True)
    assert pressure_pa[pipe.far_node] == pytest.approx(SUPPLY_PA, rel=1e-6)
    assert pressure_pa[pipe.hose_node] == pytest.approx(0.0, abs=1e-6)


def test_line_and_hose_hold_their_inner_volume(mould: Any) -> None:
    """Pi d^2 L / 4 of each."""
    network = mould.reduce(strip(mould, **HOSE), CELL_M)
    pipe = network.vents[0].pipe
    line_m3 = tube_volume_m3(bore_m=0.01, length_m=WIDTH_M)
    assert network.volume_m3[pipe.nodes].sum() == pytest.approx(line_m3, rel=ROUND_OFF)
    assert network.volume_m3[pipe.hose_node] == pytest.approx(tube_volume_m3(bore_m=3e-3, length_m=2.0), rel=ROUND_OFF)
    assert network.held_in_vents_m3(np.ones(network.node_count))[0] == pytest.approx(
        line_m3 + network.volume_m3[pipe.hose_node], rel=ROUND_OFF
    )
