"""Which law of each family is drawn, over which of its arguments."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Sweep:
    """A law as lines: each passes through a row of the family and all others that differ in the argument alone."""

    law: str
    cases: tuple[str, ...]
    """Rows that the lines start from, by their names."""
    argument: str
    low: float
    high: float
    x_label: str
    y_label: str
    log_x: bool = False
    log_y: bool = False
    where_missing: float = float("nan")
    """What the argument is in a row that leaves it out."""


SWEEPS = {
    "bag_compliance": Sweep(
        law="bag_compliance.compliant_pressure_pa",
        cases=(
            "exponent 0, inlet 90 kPa, vacuum 5 kPa, half way",
            "exponent 0.1, inlet 90 kPa, vacuum 5 kPa, half way",
            "exponent 0.1, inlet 95 kPa, vacuum 1 kPa, half way",
        ),
        argument="at_share",
        low=0.0,
        high=1.0,
        x_label="share of the way from inlet to front",
        y_label="resin pressure, Pa",
    ),
    "constant_flow": Sweep(
        law="closed_form.flow_then_pressure_fill_time_s",
        cases=("strip 1 m, flow cap then pressure cap",),
        argument="length_m",
        low=0.02,
        high=1.2,
        x_label="length, m",
        y_label="fill time, s",
    ),
    "cure_kinetics": Sweep(
        law="cure_kinetics.kamal_cured_share",
        cases=("25 C, 3600 s", "50 C, 3600 s"),
        argument="time_s",
        low=300.0,
        high=20_000.0,
        x_label="time, s",
        y_label="cured share",
        log_x=True,
        log_y=True,
    ),
    "elliptical": Sweep(
        law="closed_form.elliptical_fill_time_s",
        cases=("permeability 4 to 1",),
        argument="front_semi_axis_along_m",
        low=0.02,
        high=0.4,
        x_label="front along the fast axis, m",
        y_label="fill time, s",
    ),
    "exotherm": Sweep(
        law="cure_kinetics.adiabatic_rise_k",
        cases=("resin alone, 350 kJ/kg", "glass content 0.70, 400 kJ/kg"),
        argument="fibre_mass_fraction",
        low=0.0,
        high=0.8,
        x_label="glass content by mass",
        y_label="rise without loss of heat, K",
    ),
    "fibre_arithmetic": Sweep(
        law="fibre_arithmetic.iso_12215_5_thickness_m",
        cases=(
            "0.45 kg/m2 glass, content 0.3",
            "1.0 kg/m2 glass, content 0.3",
            "3.2 kg/m2 glass, content 0.48",
        ),
        argument="fibre_mass_fraction",
        low=0.25,
        high=0.8,
        x_label="glass content by mass",
        y_label="thickness, m",
    ),
    "gel_history": Sweep(
        law="gel_clock.gel_time_in_history_s",
        cases=("20 C rising 0.1 C a minute", "30 min at 20 C, then 30 C", "20 C throughout"),
        argument="activation_energy_j_mol",
        low=20_000.0,
        high=80_000.0,
        x_label="activation energy, J/mol",
        y_label="gel time, s",
    ),
    "gel_time": Sweep(
        law="gel_clock.arrhenius_gel_time_s",
        cases=("60 min at 25 C, 50 kJ/mol, at 20 C",),
        argument="temperature_k",
        low=285.0,
        high=306.0,
        x_label="temperature, K",
        y_label="gel time, s",
    ),
    "gravity": Sweep(
        law="closed_form.inclined_fill_time_s",
        cases=("2 m straight up", "4 m up a slope of 30 degrees", "2 m level", "2 m straight down"),
        argument="length_m",
        low=0.1,
        high=4.5,
        x_label="length, m",
        y_label="fill time, s",
    ),
    "linear": Sweep(
        law="closed_form.linear_fill_time_s",
        cases=("laminate 1 m", "mesh 2.5 m", "laminate 0.5 m"),
        argument="length_m",
        low=0.1,
        high=3.0,
        x_label="length, m",
        y_label="fill time, s",
        log_x=True,
        log_y=True,
    ),
    "line_entry": Sweep(
        law="line_entry.entry_run_m",
        cases=("depth 0.1 m, line 20 mm wide",),
        argument="half_width_m",
        low=0.002,
        high=0.055,
        x_label="half the width of the line, m",
        y_label="run to be added, m",
    ),
    "mesh_lead": Sweep(
        law="mesh_lead.mesh_lead_m",
        cases=("1.2 mm of mesh over 4 mm", "1 mm of mesh over 6 mm"),
        argument="laminate_thickness_m",
        low=0.0005,
        high=0.012,
        x_label="thickness of the laminate, m",
        y_label="lead of the mesh, m",
    ),
    "parallel_lines": Sweep(
        law="parallel_lines.lines_late_time_s",
        cases=("late by 0.05 m",),
        argument="late_m",
        low=0.0,
        high=0.25,
        x_label="front past the line when it is opened, m",
        y_label="wet-out, s",
    ),
    "permeability_models": Sweep(
        law="permeability.gebart_across_m2",
        cases=("square, Vf 0.5, from the drag 532.55 on a cylinder (pi / (Vf drag)), radius 1",),
        argument="fibre_volume_fraction",
        low=0.4,
        high=0.765,
        x_label="fibre volume fraction",
        y_label="permeability across, squares of the radius",
        log_y=True,
    ),
    "pipe_flow": Sweep(
        law="pipe_flow.rectangular_duct_conductance_m4",
        cases=("unit square",),
        argument="long_side_m",
        low=1.0,
        high=22.0,
        x_label="long side over short side",
        y_label="conductance times length, m4",
        log_x=True,
        log_y=True,
    ),
    "quantities": Sweep(
        law="resin_volumes.resin_to_mix_kg",
        cases=("with 10% reserve",),
        argument="reserve_fraction",
        low=0.0,
        high=0.2,
        x_label="reserve",
        y_label="resin to mix, kg",
    ),
    "radial": Sweep(
        law="closed_form.radial_fill_time_s",
        cases=("laminate 0.5 m", "mesh 1 m", "dense 0.3 m"),
        argument="front_radius_m",
        low=0.05,
        high=1.2,
        x_label="radius of the front, m",
        y_label="fill time, s",
        log_x=True,
        log_y=True,
    ),
    "resin_viscosity": Sweep(
        law="resin_viscosity.castro_macosko_viscosity_pa_s",
        cases=("40 C, cured to 0.3", "60 C, cured to 0.3"),
        argument="cured_share",
        low=0.0,
        high=0.62,
        x_label="cured share",
        y_label="viscosity, Pa s",
        log_y=True,
    ),
    "scatter": Sweep(
        law="lognormal_scatter.time_ratio_at_chance",
        cases=("variation 8%, chance 0.5", "variation 25%, chance 0.5", "variation 44%, chance 0.5"),
        argument="chance",
        low=0.02,
        high=0.98,
        x_label="chance to stay below",
        y_label="time over time at mean permeability",
    ),
    "series": Sweep(
        law="closed_form.series_fill_times_s",
        cases=("behind a feed resistance",),
        argument="feed_resistance_1_m2",
        low=0.0,
        high=1e11,
        x_label="resistance of the feed, 1/m2",
        y_label="fill time, s",
        where_missing=0.0,
    ),
    "stack": Sweep(
        law="closed_form.linear_fill_time_s",
        cases=("mesh, laminate, peel layer, 1 m",),
        argument="length_m",
        low=0.1,
        high=2.0,
        x_label="length, m",
        y_label="fill time, s",
    ),
    "thickening": Sweep(
        law="closed_form.time_while_thickening_s",
        cases=("0.5 m while it thickens",),
        argument="constant_viscosity_time_s",
        low=10.0,
        high=1750.0,
        x_label="time with fresh resin, s",
        y_label="time while it thickens, s",
    ),
    "trapped_gas": Sweep(
        law="trapped_gas.compressed_volume_m3",
        cases=("spot closed in at 50 mbar, pressed to 900 mbar",),
        argument="pressed_to_pa",
        low=5e3,
        high=1e5,
        x_label="pressure, Pa",
        y_label="volume left of 1",
        log_x=True,
        log_y=True,
    ),
    "units": Sweep(
        law="units.pa_from_inhg",
        cases=("29.92 inHg",),
        argument="pressure_inhg",
        low=0.0,
        high=31.0,
        x_label="pressure, inHg",
        y_label="pressure, Pa",
    ),
    "vacuum": Sweep(
        law="vacuum.vapour_pressure_pa",
        cases=("saturated, 20 C", "20 C, 50%"),
        argument="temperature_k",
        low=273.15,
        high=315.0,
        x_label="temperature, K",
        y_label="water vapour, Pa",
        log_y=True,
    ),
}
