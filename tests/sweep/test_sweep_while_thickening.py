"""A sweep of one bay with resin that thickens: each level of initiator has a front of its own.

Wet-out of an even strip whose viscosity grows as exp(k t): -ln(1 - k tau) / k, tau with fresh resin
(`closed_form.time_while_thickening_s`, derived). Viscosity grows e-fold in half of the gel time (invented), so that
k goes with the level of initiator as gel does.
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from optimiser.physics.closed_form import time_while_thickening_s
from optimiser.revalidation.answer import Way
from optimiser.sweep.page import render_html
from optimiser.sweep.plot import plot_svg
from optimiser.sweep.sweep_document import CellState, slowest

R = 8.314462618
TEMPERATURES_C, LEVELS_PERCENT = (15.0, 20.0, 25.0), (1.0, 1.5, 2.0)
E_FOLDS_TO_GEL = 2.0
PERMEABILITY_M2 = 6e-10
AGE_MIN = 2.0
ON_CELLS = 6e-3


def arrhenius(at_25_c: float, energy_j_mol: float, temperature_c: float) -> float:
    return at_25_c * math.exp(energy_j_mol / R * (1 / (temperature_c + 273.15) - 1 / 298.15))


def gel_min(temperature_c: float, initiator_percent: float) -> float:
    return arrhenius(60, 50_000, temperature_c) / initiator_percent


def wet_out_s(temperature_c: float, initiator_percent: float) -> float:
    growth_1_s = E_FOLDS_TO_GEL / (60 * gel_min(temperature_c, initiator_percent))
    older = math.exp(growth_1_s * 60 * AGE_MIN)
    fresh_s = 0.5 * arrhenius(0.25, 35_000, temperature_c) * 0.7**2 / (2 * PERMEABILITY_M2 * 9e4)
    return time_while_thickening_s(constant_viscosity_time_s=older * fresh_s, growth_1_s=growth_1_s)


@pytest.fixture(scope="module")
def thickening(bay: Any) -> Any:
    """The table was measured at 20 C with 1 %; the cloth is so open that all is wet before gel."""
    tested_min, fresh_mpa_s = gel_min(20, 1.0), 1e3 * arrhenius(0.25, 35_000, 20)
    measured = {"along_m2": PERMEABILITY_M2, "across_m2": PERMEABILITY_M2, "at_fibre_volume_percent": 50}
    open_cloth = {"fibre_density_kg_m3": 2550, "areal_weight_g_m2": 800, "permeability": {"measured": measured}}
    table = {
        "temperature_c": 20,
        "initiator_percent": 1.0,
        "points": [
            {"age_min": share * tested_min, "viscosity_mpa_s": fresh_mpa_s * math.exp(E_FOLDS_TO_GEL * share)}
            for share in (0.0, 0.5, 1.0)
        ],
    }
    return bay.sweep(
        bay.open,
        TEMPERATURES_C,
        LEVELS_PERCENT,
        resin={"viscosity_with_age": table},
        process={"age_at_first_tap_min": AGE_MIN},
        reinforcements={"cloth": open_cloth},
    )


@pytest.mark.parametrize("temperature_c", TEMPERATURES_C)
@pytest.mark.parametrize("initiator_percent", LEVELS_PERCENT)
def test_wet_out_is_that_of_the_closed_form(thickening: Any, temperature_c: float, initiator_percent: float) -> None:
    """At every temperature and level, of which only the case's own is looked up."""
    cell = thickening.cell(temperature_c, initiator_percent)
    assert cell.way is (Way.LOOK_UP if cell.own else Way.FULL_RUN)
    limit_s = 60 * (0.7 * gel_min(temperature_c, initiator_percent) - AGE_MIN)
    assert cell.gel_limit_s == pytest.approx(limit_s, rel=1e-6)
    assert cell.wet_out_s == pytest.approx(wet_out_s(temperature_c, initiator_percent), rel=ON_CELLS)


def test_the_page_and_the_plot_show_the_slowest_level(thickening: Any) -> None:
    """More initiator is slower here, so one wet-out a temperature would be too fast for some."""
    row = [thickening.cell(20.0, level) for level in LEVELS_PERCENT]
    assert slowest(row) is row[-1]
    assert row[-1].wet_out_s > 1.05 * row[0].wet_out_s
    assert f"{math.ceil(row[-1].wet_out_s / 6) / 10:.1f}" in render_html(thickening)
    assert plot_svg(thickening).startswith("<?xml")


def test_a_table_that_reaches_the_limit_does_so_at_every_setting(bay: Any) -> None:
    """It is read by the share of the gel time that is spent, and the limit is a share of it too."""
    tested_min = gel_min(20, 1.5)
    points = [{"age_min": age_min, "viscosity_mpa_s": 305} for age_min in (0, 0.71 * tested_min)]
    table = {"temperature_c": 20, "initiator_percent": 1.5, "points": points}
    swept = bay.sweep(bay.open, (20.0, 25.0), (1.5, 2.0), resin={"viscosity_with_age": table})
    assert {cell.state for cell in swept.cells} <= {CellState.HOLDS, CellState.TIGHT, CellState.LATE}
