"""What must hold of the flow laws for every input: scalings, symmetry, limits and refusals."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optimiser.errors import OutOfRangeError
from optimiser.physics import closed_form, parallel_lines, permeability, pipe_flow

ROUNDING = 1e-11
"""Some thousand roundings of a double, which angles and logarithms can gather."""

quick = settings(max_examples=50, deadline=None, derandomize=True)
permeabilities_m2 = st.floats(1e-13, 1e-7)
angles_rad = st.floats(-math.pi, math.pi)


@given(
    porosity=st.floats(0.05, 0.95),
    viscosity_pa_s=st.floats(0.01, 5),
    length_m=st.floats(0.05, 10),
    permeability_m2=permeabilities_m2,
    pressure_difference_pa=st.floats(1e3, 1e5),
)
@quick
def test_linear_time_scales_as_darcy_says(**run: float) -> None:
    """Twice the viscosity takes twice as long, twice the length four times, twice the pressure half."""
    time_s = closed_form.linear_fill_time_s(**run)
    for name, factor in [
        ("viscosity_pa_s", 2),
        ("porosity", 2),
        ("length_m", 4),
        ("permeability_m2", 0.5),
        ("pressure_difference_pa", 0.5),
    ]:
        doubled_s = closed_form.linear_fill_time_s(**{**run, name: 2 * run[name]})
        assert doubled_s == pytest.approx(factor * time_s, rel=ROUNDING, abs=0)


@given(
    length_m=st.floats(0.05, 10),
    permeability_m2=permeabilities_m2,
    share=st.floats(0.01, 1),
)
@quick
def test_front_is_where_the_fill_time_says(length_m: float, permeability_m2: float, share: float) -> None:
    """Front place and fill time undo each other, and the front goes with the square root of time."""
    run = {
        "porosity": 0.5,
        "viscosity_pa_s": 0.2,
        "permeability_m2": permeability_m2,
        "pressure_difference_pa": 9e4,
    }
    time_s = closed_form.linear_fill_time_s(length_m=length_m, **run)
    front_m = closed_form.linear_front_m(time_s=share * time_s, **run)
    assert front_m == pytest.approx(math.sqrt(share) * length_m, rel=ROUNDING, abs=0)


@given(along_m2=permeabilities_m2, across_m2=permeabilities_m2, angle_rad=angles_rad)
@quick
def test_tensor_is_symmetric_positive_and_rotates_back(
    along_m2: float, across_m2: float, angle_rad: float
) -> None:
    """The tensor is symmetric, has the two permeabilities as eigenvalues, and turned back is diagonal."""
    tensor = permeability.in_plane_tensor_m2(along_m2, across_m2, angle_rad)
    scale = max(along_m2, across_m2)
    turn = np.array([[math.cos(angle_rad), -math.sin(angle_rad)], [math.sin(angle_rad), math.cos(angle_rad)]])
    assert tensor[0, 1] == pytest.approx(tensor[1, 0], abs=scale * 1e-15)
    assert np.linalg.eigvalsh(tensor) == pytest.approx(sorted([along_m2, across_m2]), abs=scale * 1e-14)
    assert turn.T @ tensor @ turn == pytest.approx(np.diag([along_m2, across_m2]), abs=scale * 1e-14)


def test_tensor_turns_counter_clockwise() -> None:
    """A layer whose 'along' lies at 45 degrees lets a pull along x drive resin towards plus y as well."""
    tensor = permeability.in_plane_tensor_m2(4e-10, 1e-10, math.pi / 4)
    assert tensor == pytest.approx(np.array([[2.5e-10, 1.5e-10], [1.5e-10, 2.5e-10]]), rel=ROUNDING, abs=0)


@given(
    layers=st.lists(st.tuples(st.floats(1e-4, 1e-2), permeabilities_m2), min_size=1, max_size=8),
)
@quick
def test_stack_lies_between_its_layers(layers: list[tuple[float, float]]) -> None:
    """Layers side by side pass more than layers one on another, and both lie between worst and best."""
    thicknesses, values = zip(*layers, strict=True)
    in_plane = permeability.stack_in_plane_m2(thicknesses, values)
    through = permeability.stack_through_thickness_m2(thicknesses, values)
    slack = 1 + ROUNDING
    assert min(values) <= through * slack
    assert through <= in_plane * slack
    assert in_plane <= max(values) * slack


@given(vf=st.floats(0.05, 0.75), packing=st.sampled_from(permeability.Packing))
@quick
def test_more_fibre_lets_less_resin_through(vf: float, packing: permeability.Packing) -> None:
    """Each model of aligned fibres falls as the fibre content rises."""

    def models(fraction: float) -> tuple[float, float, float]:
        bed = {"fibre_radius_m": 8.5e-6, "fibre_volume_fraction": fraction}
        return (
            permeability.gebart_along_m2(**bed, packing=packing),
            permeability.gebart_across_m2(**bed, packing=packing),
            permeability.kozeny_carman_m2(**bed, constant=1.0),
        )

    looser, denser = models(vf), models(vf + 0.02)
    assert all(less < more for less, more in zip(denser, looser, strict=True))


@pytest.mark.parametrize(("vf", "ratio"), [(0.55, 0.602479339), (0.58, 0.440475624)])
def test_kozeny_carman_ratio_needs_no_constant(vf: float, ratio: float) -> None:
    """K(Vf) / K(0.50) is (1 - Vf)^3 / Vf^2 over its value at 0.50, whatever constant was fitted."""
    bed = {"fibre_radius_m": 8.5e-6, "constant": 0.7}
    found = permeability.kozeny_carman_m2(**bed, fibre_volume_fraction=vf) / permeability.kozeny_carman_m2(
        **bed, fibre_volume_fraction=0.50
    )
    assert found == pytest.approx(ratio, rel=5e-9, abs=0)  # nine printed digits


@given(bays=st.integers(1, 20), late_m=st.floats(0, 0.5))
@quick
def test_opening_in_turn_gains_the_number_of_bays(bays: int, late_m: float) -> None:
    """The first line alone takes N times as long; being late costs 2 (N - 1) d / (N s)."""
    in_turn_s = parallel_lines.lines_in_turn_time_s(bays=bays, bay_time_s=600.0)
    late_s = parallel_lines.lines_late_time_s(bays=bays, bay_time_s=600.0, spacing_m=1.0, late_m=late_m)
    alone_s = parallel_lines.single_inlet_time_s(bays=bays, bay_time_s=600.0)
    assert alone_s == pytest.approx(bays * in_turn_s, rel=ROUNDING, abs=0)
    assert late_s / in_turn_s - 1 == pytest.approx(2 * (bays - 1) * late_m / bays, abs=1e-12)


def test_feed_resistance_of_one_bay_makes_the_bay_three_times_as_long() -> None:
    """R = s / (h K) gives R s + s^2 / (2 h K) = 3 s^2 / (2 h K)."""
    strip = {
        "lengths_m": [0.8],
        "thicknesses_m": [0.005],
        "porosities": [0.5],
        "permeabilities_m2": [1e-9],
        "viscosity_pa_s": 0.25,
        "pressure_difference_pa": 9e4,
    }
    (free_s,) = closed_form.series_fill_times_s(**strip)
    (fed_s,) = closed_form.series_fill_times_s(**strip, feed_resistance_1_m2=0.8 / (0.005 * 1e-9))
    assert fed_s == pytest.approx(3 * free_s, rel=ROUNDING, abs=0)


@given(bore_m=st.floats(1e-3, 0.1), length_m=st.floats(0.01, 50))
@quick
def test_tube_halved_in_bore_passes_a_sixteenth(bore_m: float, length_m: float) -> None:
    """Conductance goes with the fourth power of the bore and the inverse of the length."""
    whole = pipe_flow.tube_conductance_m3(bore_m=bore_m, length_m=length_m)
    assert pipe_flow.tube_conductance_m3(bore_m=bore_m / 2, length_m=length_m) * 16 == pytest.approx(
        whole, rel=ROUNDING, abs=0
    )
    assert pipe_flow.tube_conductance_m3(bore_m=bore_m, length_m=2 * length_m) * 2 == pytest.approx(
        whole, rel=ROUNDING, abs=0
    )


def test_flow_cap_that_never_binds_fills_at_constant_flow() -> None:
    """Where the strip is full before the pressure cap is met, switch and fill time are one."""
    switch_s, fill_s = closed_form.flow_then_pressure_fill_time_s(
        porosity=0.5,
        viscosity_pa_s=0.2,
        length_m=1.0,
        permeability_m2=2e-10,
        thickness_m=0.004,
        width_m=0.5,
        flow_m3_s=1e-8,
        pressure_difference_pa=9e4,
    )
    assert switch_s == fill_s == pytest.approx(0.001 / 1e-8, rel=ROUNDING, abs=0)


def test_line_without_loss_keeps_its_pressure() -> None:
    """Nothing lost along the line: inlet pressure at the end and in the mean."""
    decay_per_m = pipe_flow.line_decay_per_m(bore_m=0.012, loss_m2=0.0)
    assert pipe_flow.line_end_pressure_ratio(decay_per_m=decay_per_m, length_m=10.0) == 1
    assert pipe_flow.line_mean_pressure_ratio(decay_per_m=decay_per_m, length_m=10.0) == 1


def refused() -> list[tuple[str, Callable[[], object]]]:
    rise = {"porosity": 0.5, "viscosity_pa_s": 0.2, "permeability_m2": 2e-9, "density_kg_m3": 1100.0}
    bed = {"fibre_radius_m": 8.5e-6}
    square = permeability.Packing.SQUARE
    return [
        (
            "a front above the highest reach",
            lambda: closed_form.inclined_fill_time_s(
                **rise, length_m=9.0, slope_rad=math.pi / 2, pressure_difference_pa=9e4
            ),
        ),
        (
            "resin that thickens too soon",
            lambda: closed_form.time_while_thickening_s(constant_viscosity_time_s=3600, growth_1_s=1 / 3600),
        ),
        (
            "a front inside its inlet",
            lambda: closed_form.radial_pressure_pa(
                at_radius_m=0.005, inlet_radius_m=0.01, front_radius_m=0.5, pressure_difference_pa=9e4
            ),
        ),
        (
            "fibre beyond the densest packing",
            lambda: permeability.gebart_across_m2(**bed, fibre_volume_fraction=0.79, packing=square),
        ),
        (
            "a bed of nothing but fibre",
            lambda: permeability.kozeny_carman_m2(**bed, fibre_volume_fraction=1.0, constant=1.0),
        ),
        ("negative permeability", lambda: permeability.in_plane_tensor_m2(-1e-10, 1e-10, 0.0)),
        ("a sealed layer", lambda: permeability.stack_through_thickness_m2([0.001, 0.01], [1e-10, 0.0])),
        ("a tube without bore", lambda: pipe_flow.tube_conductance_m3(bore_m=0.0, length_m=1.0)),
        ("a tube without length", lambda: pipe_flow.tube_conductance_m3(bore_m=0.01, length_m=0.0)),
        (
            "sides the wrong way round",
            lambda: pipe_flow.rectangular_duct_conductance_m4(long_side_m=0.001, short_side_m=0.002),
        ),
    ]


@pytest.mark.parametrize("ask", [pytest.param(ask, id=what) for what, ask in refused()])
def test_law_refuses_what_lies_outside_its_range(ask: Callable[[], object]) -> None:
    """Outside its range a law raises and gives no number."""
    with pytest.raises(OutOfRangeError):
        ask()
