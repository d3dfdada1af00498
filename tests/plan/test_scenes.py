"""The scenes a shot is played in: safe temperatures, and a spread as large as stated."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from optimiser.filling.many_runs import Scene
from optimiser.part.shot import Shot
from optimiser.plan.scenes import COARSE, FULL, SPREADS, gel_time_of, scenes_of, viscosity_of

SEEDS = 80
"""Fields of permeability drawn; a mean over them is good to about a tenth of one field's deviation."""


def conductances(scene: Scene) -> np.ndarray:
    return scene.network.links.conductance_m3


@pytest.mark.parametrize(("mould_c", "resin_c"), [(18.0, 22.0), (22.0, 18.0)])
def test_thick_at_the_colder_and_quick_at_the_warmer(panels: Any, mould_c: float, resin_c: float) -> None:
    """Whichever is the colder: viscosity above the 250 mPa s of 20 degrees C, gel time below its 90 min."""
    process = {"mould_temperature_c": mould_c, "resin_temperature_c": resin_c}
    shot = panels.case(process=process).shot
    assert 0.25 < viscosity_of(shot) < 0.32
    assert 64 * 60 < gel_time_of(shot) < 90 * 60


def test_faster_and_slower_all_over_are_as_stated(panels: Any) -> None:
    """25 %: every link of the sheet by 1.25, and by 1 / 1.25; pipes as they are."""
    scenes = scenes_of(panels.case().shot)
    ratios = [conductances(scenes.all[place]) / conductances(scenes.all[FULL]) for place in SPREADS[:2]]
    for ratio, factor in zip(ratios, (1.25, 0.8), strict=True):
        assert set(np.round(ratio, 12)) == {1.0, factor}


def test_without_spread_all_scenes_are_alike(panels: Any) -> None:
    """Zero per cent changes nothing."""
    still = {"permeability_spread_percent": 0, "permeability_patchy_percent": 0}
    scenes = scenes_of(panels.case(process=still).shot)
    for place in SPREADS:
        assert conductances(scenes.all[place]) == pytest.approx(conductances(scenes.all[FULL]), rel=1e-12)


@pytest.fixture(scope="module")
def factors(panels: Any) -> tuple[np.ndarray, np.ndarray]:
    """(seeds, links): patchy factors on the links of the coarse sheet, and where each link lies."""
    shot: Shot = panels.case().shot
    drawn, place = [], np.empty(0)
    for seed in range(SEEDS):
        scenes = scenes_of(replace(shot, search=replace(shot.search, seed=1000 * seed)))
        network, links = scenes.coarse, scenes.coarse.links
        sheet = (links.start < network.cell_count) & (links.end < network.cell_count)
        place = network.x_m[links.start[sheet]]
        drawn.append((conductances(scenes.all[3]) / conductances(scenes.all[COARSE]))[sheet])
    return np.array(drawn), place


def test_patchy_permeability_has_the_stated_variation(factors: tuple[np.ndarray, np.ndarray]) -> None:
    """Mean one, coefficient of variation 12 %.

    80 fields of a few independent patches each: the mean is known to about 1 %, the variation to about a tenth.
    """
    drawn, _ = factors
    assert drawn.mean() == pytest.approx(1.0, abs=0.02)
    assert drawn.std() == pytest.approx(0.12, rel=0.15)


def test_patches_are_as_wide_as_a_stride(factors: tuple[np.ndarray, np.ndarray]) -> None:
    """Correlation exp(-d^2 / 2 w^2) with w = 0.5 m: near one within a cell, a seventh a metre along.

    The Gaussian kernel of random Fourier features (Rahimi and Recht 2007, from memory).
    """
    drawn, x_m = factors
    first = int(np.argmin(x_m))
    for far_m in (0.1, 0.5, 1.0):
        other = int(np.argmin(np.abs(x_m - x_m[first] - far_m)))
        apart_m = float(x_m[other] - x_m[first])
        seen = np.corrcoef(drawn[:, first], drawn[:, other])[0, 1]
        assert seen == pytest.approx(np.exp(-(apart_m**2) / (2 * 0.5**2)), abs=0.25)


def test_one_seed_gives_one_field_on_every_lattice(panels: Any) -> None:
    """The patch is a matter of place, not of cells: coarse and full networks agree where they overlap."""
    coarse, fine = (_factor_near_the_middle(panels, cell_mm) for cell_mm in (100.0, 50.0))
    assert coarse == pytest.approx(fine, abs=0.03)


def _factor_near_the_middle(panels: Any, cell_mm: float) -> float:
    scenes = scenes_of(panels.case(cell_mm=cell_mm, coarse_cell_mm=cell_mm).shot)
    network, links = scenes.coarse, scenes.coarse.links
    sheet = np.flatnonzero((links.start < network.cell_count) & (links.end < network.cell_count))
    away = np.hypot(network.x_m[links.start[sheet]] - 0.6, network.y_m[links.start[sheet]] - 0.3)
    at = sheet[int(np.argmin(away))]
    return float(conductances(scenes.all[3])[at] / conductances(scenes.all[COARSE])[at])
