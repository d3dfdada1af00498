"""Hoses, lines and the height of the container on the network, against laws of pipes and of columns.

Numbers expected: tests/check_values (pipe_flow, series, gravity, trapped_gas), all derived.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from optimiser.filling.front_state import Drive, FrontState, Openings
from optimiser.filling.front_step import FrontStepper
from optimiser.network.flow_network import FloatArray, FlowNetwork
from optimiser.part.part import LaminateArea, Part
from optimiser.part.sequence import Action
from optimiser.physics import closed_form
from optimiser.physics.darcy import head_pa, highest_rise_m
from optimiser.physics.pipe_flow import tube_conductance_m3, tube_volume_m3
from optimiser.physics.trapped_gas import compressed_volume_m3

CELLS = 40
HALF_A_PERCENT = 5e-3
ROUND_OFF = 1e-9


def steady_pa(network: FlowNetwork, tap_open: tuple[bool, ...], **drive: float) -> FloatArray:
    """Pressures above the residual vacuum once everything is full and all vents hold it."""
    supply = Drive(supply_pressure_pa=9e4, most_flow_m3_s=None, resin_density_kg_m3=1100.0)
    stepper = FrontStepper(network, replace(supply, **drive))
    full = np.ones(network.node_count)
    state = FrontState(saturation=full, wet=full > 0)
    vents = np.ones(len(network.vents), dtype=bool)
    step = stepper.advance(
        state,
        Openings(tap_open=np.array(tap_open), vent_open=vents),
        dt_s=1.0,
        dtheta=4.0,
        guess=state.wet,
        capped=False,
    )
    return step.pressure_time / 4.0


# ---- lines and hoses -----------------------------------------------------------------------------------------


def long_line_panel(mould: Any) -> Part:
    """Ten metres of 12 mm line along one edge of 5 mm of 1e-9 m2, the vent a metre off; resin runs across only."""
    laminate = mould.laminate(1e-15, across_m2=1e-9)
    line = mould.feed_line("A", (0.0, 0.0), (10.0, 0.0), inlet_share=0.0, hose_bore_m=0.05)
    return mould.panel(10.0, 1.0, laminate, (line,), (mould.vent("V", (0.0, 1.0), (10.0, 1.0)),))


def test_long_thin_line_starves_at_its_far_end_as_the_fin_law_says(mould: Any) -> None:
    """0.652 of the inlet's pressure at the far end, 0.765 in the mean (pipe_flow.csv, row of 1.8).

    1 %: a line of 100 lengths has its inlet and its end half a length inside.
    """
    network = mould.reduce(long_line_panel(mould), 0.1)
    (line,) = network.lines
    along = steady_pa(network, (True,))[line.nodes]
    assert along[-1] / along[0] == pytest.approx(0.652411339, rel=0.01)
    assert along.mean() / along[0] == pytest.approx(0.764608858, rel=0.01)


def test_pressures_told_of_a_line_are_those_of_the_fin_law_when_all_is_wet(mould: Any) -> None:
    """When the last cell turns wet every place of the bay is a metre wide, so the law holds; 2 %: the last step."""
    filled = mould.fill(long_line_panel(mould), 0.1, *mould.open_at_start("A"))
    inlet, first, last = filled.run.history.line_pressure_pa[-1, 0]
    assert first == inlet
    assert last / inlet == pytest.approx(0.652411339, rel=0.02)
    assert inlet < filled.run.history.manifold_pressure_pa[-1]


def test_line_hose_and_manifold_hold_their_inner_volume(mould: Any) -> None:
    """Pi d^2 L / 4 of each, and of the manifold what was stated (1 ml)."""
    network = mould.reduce(long_line_panel(mould), 0.1)
    (line,) = network.lines
    held = network.volume_m3
    assert held[line.nodes].sum() == pytest.approx(tube_volume_m3(bore_m=0.012, length_m=10.0), rel=ROUND_OFF)
    assert held[line.hose_node] == pytest.approx(tube_volume_m3(bore_m=0.05, length_m=0.05), rel=ROUND_OFF)
    assert held[network.manifold] == 1e-6


def test_feed_resistance_delays_a_bay_as_the_series_law_says(mould: Any) -> None:
    """777.8 s in place of 555.6 s behind 5e10 1/m2 (series.csv); the hose makes it, 50 mm long and thin as needed."""
    width_m, length_m = 1.0 / CELLS, 0.05
    bore_m = (width_m / 5e10 / tube_conductance_m3(bore_m=1.0, length_m=length_m)) ** 0.25
    laminate = mould.laminate(thickness_m=4e-3)
    part = mould.strip(1.0, CELLS, laminate, hose_bore_m=bore_m, hose_length_m=length_m)
    filled = mould.fill(part, width_m, *mould.open_at_start("0"), viscosity_pa_s=0.2)
    assert filled.run.wet_out_s == pytest.approx(777.777778, rel=HALF_A_PERCENT)


def two_bays_behind_one_hose(mould: Any) -> FlowNetwork:
    """Two like bays of 1 m, each with a line along its outer edge and a vent along their common middle."""
    lines = tuple(
        mould.feed_line(label, (x_m, 0.0), (x_m, 1.0), bore_m=0.05, hose_bore_m=0.05)
        for label, x_m in (("A", 0.0), ("B", 2.0))
    )
    vents = (mould.vent("V", (1.0, 0.0), (1.0, 1.0)),)
    return mould.reduce(mould.panel(2.0, 1.0, mould.laminate(), lines, vents), 0.05)


@pytest.mark.parametrize(("taps", "drawing"), [((True, False), 1), ((False, True), 1), ((True, True), 2)])
def test_taps_behind_one_hose_share_its_pressure(mould: Any, taps: tuple[bool, bool], drawing: int) -> None:
    """At a manifold fed through g, n like bays of g_b leave p g / (g + n g_b): flows in series and side by side.

    With g = g_b half of the pressure is left for one bay and a third for each of two. 0.5 %: a vent over the
    middles of cells draws a little from beyond them too.
    """
    network = two_bays_behind_one_hose(mould)
    bay_m3 = 1e-9 * 5e-3
    left = steady_pa(network, taps, feed_conductance_m3=bay_m3)[network.manifold]
    assert left == pytest.approx(9e4 / (1 + drawing), rel=HALF_A_PERCENT)


def test_second_tap_on_the_manifold_lowers_what_the_first_receives(mould: Any) -> None:
    """Played: the first line's pressure falls from one half to a third when the second tap is turned at 4000 s.

    1 %: mean over steps, a bay that the vent has flooded.
    """
    network = two_bays_behind_one_hose(mould)
    late = mould.at_clock(Action.OPEN, "B", 4000.0)
    run = mould.fill_network(network, *mould.open_at_start("A"), late, feed_conductance_m3=5e-12, longest_s=2e4)
    history = run.history
    first = history.line_pressure_pa[:, 0, 0]
    before, after = np.searchsorted(history.time_s, [3999.0, run.end_s])
    assert first[before] == pytest.approx(9e4 / 2, rel=0.01)
    assert first[after] == pytest.approx(9e4 / 3, rel=0.05)
    assert history.manifold_pressure_pa[after] == pytest.approx(first[after], rel=1e-3)


def test_hose_before_the_manifold_delays_a_bay_as_one_behind_it_does(mould: Any) -> None:
    """R = 2e11 1/m2 per width: 2083.3 s in place of 694.4 s (parallel_lines.csv), wherever the hose lies."""
    width_m = 1.0 / CELLS
    network = mould.reduce(mould.strip(1.0, CELLS, mould.laminate()), width_m)
    run = mould.fill_network(network, *mould.open_at_start("0"), feed_conductance_m3=width_m / 2e11)
    assert run.wet_out_s == pytest.approx(2083.33333, rel=HALF_A_PERCENT)
    (inlet, *_) = run.history.line_pressure_pa[-1, 0]
    assert inlet == pytest.approx(9e4 / 2, rel=0.02)


def test_flow_cap_behind_a_hose_gives_way_when_hose_and_bay_take_the_pressure(mould: Any) -> None:
    """Capped at Q while mu Q (R_f + x / (h K)) is below dP (constant_flow.csv with R_f of half a bay added).

    Derived: the cap lets go at x = h K dP w / (mu Q) - R_f h K, here a quarter of the bay; from there
    dt = (phi mu h / dP) [ R_f dx + x dx / (h K) ].
    """
    width_m, bay = 1.0 / CELLS, 1.0 / (5e-3 * 1e-9)
    resistance = 0.5 * bay
    flow = 9e4 * width_m / (0.25 * (resistance + 0.25 * bay))
    network = mould.reduce(mould.strip(1.0, CELLS, mould.laminate()), width_m)
    run = mould.fill_network(
        network, *mould.open_at_start("0"), feed_conductance_m3=width_m / resistance, most_flow_m3_s=flow
    )
    capped_s = 0.5 * 5e-3 * width_m * 0.25 / flow
    rest_s = 0.5 * 0.25 * 5e-3 / 9e4 * (resistance * 0.75 + bay * (1 - 0.25**2) / 2)
    assert run.capped
    assert run.wet_out_s == pytest.approx(capped_s + rest_s, rel=HALF_A_PERCENT)
    assert run.history.flow_m3_s.max() == pytest.approx(flow, rel=ROUND_OFF)


# ---- heights -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("below_m", "left_pa"), [(0.8, 86213.2416), (6.0, 29099.3120)])
def test_container_below_the_part_costs_its_head(mould: Any, below_m: float, left_pa: float) -> None:
    """A level strip fills as with dP - rho g dz: 95 kPa, 1120 kg/m3, rows of gravity.csv."""
    network = mould.reduce(mould.strip(1.0, CELLS, mould.laminate()), 1.0 / CELLS, manifold_height_m=-below_m)
    run = mould.fill_network(network, *mould.open_at_start("0"), pressure_pa=95e3, density_kg_m3=1120.0, longest_s=1e5)
    assert left_pa == pytest.approx(95e3 - head_pa(density_kg_m3=1120.0, rise_m=below_m))
    expected_s = closed_form.linear_fill_time_s(
        porosity=0.5, viscosity_pa_s=0.25, length_m=1.0, permeability_m2=1e-9, pressure_difference_pa=left_pa
    )
    assert run.wet_out_s == pytest.approx(expected_s, rel=HALF_A_PERCENT)


@pytest.mark.parametrize(("rise_m", "reached"), [(8.63, True), (8.67, False)])
def test_part_above_the_highest_rise_is_never_reached(mould: Any, rise_m: float, reached: bool) -> None:
    """8.649 m at 95 kPa and 1120 kg/m3 (gravity.csv): a level strip 2 cm below it fills, 2 cm above it stays dry."""
    assert highest_rise_m(density_kg_m3=1120.0, pressure_difference_pa=95e3) == pytest.approx(8.64937859)
    network = mould.reduce(mould.strip(1.0, CELLS, mould.laminate()), 1.0 / CELLS, manifold_height_m=-rise_m)
    run = mould.fill_network(network, *mould.open_at_start("0"), pressure_pa=95e3, density_kg_m3=1120.0, longest_s=1e7)
    assert run.clean is reached
    assert run.stalled is not reached


# ---- trapped air ---------------------------------------------------------------------------------------------


def test_locked_island_is_pressed_to_what_the_resin_round_it_presses(mould: Any) -> None:
    """Closed in at 50 mbar, the vent clamped, the taps open: at 900 mbar an eighteenth is left (trapped_gas.csv).

    1e-3: resin still creeps into an island a million times tighter than the panel.
    """
    island = ((0.8, 0.3), (1.2, 0.3), (1.2, 0.7), (0.8, 0.7))
    part = mould.panel(
        2.0,
        1.0,
        mould.laminate(),
        (mould.feed_line("A", (0.0, 0.0), (0.0, 1.0)),),
        (mould.vent("V", (2.0, 0.0), (2.0, 1.0)),),
        patches=(LaminateArea(name="island", laminate=mould.laminate(1e-15), border_m=island),),
    )
    clamp = replace(mould.open_on_reach("V"), action=Action.CLAMP)
    run = mould.fill(part, 0.05, *mould.open_at_start("A"), clamp, pressure_pa=85e3, longest_s=1e5).run
    (lock,) = run.locks
    left_m3 = compressed_volume_m3(volume_m3=lock.pore_m3, trapped_at_pa=5e3, pressed_to_pa=5e3 + lock.pressed_by_pa)
    assert left_m3 / lock.pore_m3 == pytest.approx(0.0555555556, rel=1e-3)
    assert not run.clean


def test_lock_beside_a_drain_is_pressed_less(mould: Any) -> None:
    """With the vent left open pressure falls evenly towards it: midway half of it is left, so more of the air is.

    10 %: the island bends the flow round it.
    """
    island = ((0.9, 0.4), (1.1, 0.4), (1.1, 0.6), (0.9, 0.6))
    part = mould.panel(
        2.0,
        1.0,
        mould.laminate(),
        (mould.feed_line("A", (0.0, 0.0), (0.0, 1.0)),),
        (mould.vent("V", (2.0, 0.0), (2.0, 1.0)),),
        patches=(LaminateArea(name="island", laminate=mould.laminate(1e-15), border_m=island),),
    )
    run = mould.fill(part, 0.05, *mould.open_at_start("A"), pressure_pa=85e3, longest_s=1e4).run
    (lock,) = run.locks
    assert lock.pressed_by_pa == pytest.approx(85e3 / 2, rel=0.1)


@pytest.mark.parametrize(
    ("trapped_pa", "pressed_pa", "left_m"), [(1e3, 90e3, 0.00111111111), (5e3, 95e3, 0.00526315789)]
)
def test_gap_cut_off_by_a_line_opened_early_closes_to_its_boyle_length(
    mould: Any, trapped_pa: float, pressed_pa: float, left_m: float
) -> None:
    """Opened when the front is 0.1 m short, the gap g keeps g p_trap / p_final (trapped_gas.csv).

    7 %: an event is met within 3e-4 of the time so far, a sixth of a second; by the law of the square root resin rushes
    some millimetres into the gap in that.
    """
    cells, driving_pa = 80, pressed_pa - trapped_pa
    bay_s = closed_form.linear_fill_time_s(
        porosity=0.5, viscosity_pa_s=0.25, length_m=1.0, permeability_m2=1e-9, pressure_difference_pa=driving_pa
    )
    part = mould.strip(2.0, cells, mould.laminate(), lines_at_m=(0.0, 1.0))
    early = mould.at_clock(Action.OPEN, "1", 0.9**2 * bay_s)
    run = mould.fill(part, 2.0 / cells, *mould.open_at_start("0"), early, pressure_pa=driving_pa).run
    (lock,) = run.locks
    length_m = lock.pore_m3 / (0.5 * 5e-3 * 2.0 / cells)
    left = compressed_volume_m3(
        volume_m3=length_m, trapped_at_pa=trapped_pa, pressed_to_pa=trapped_pa + lock.pressed_by_pa
    )
    assert left == pytest.approx(left_m, rel=0.07)
