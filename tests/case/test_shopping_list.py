"""Resin to have ready, from a case document, against volumes added up by hand (tests/check_values/quantities.csv).

40 m2 of 4.8 kg/m2 glass of 2540 kg/m3 at a fibre content of 54 %, resin of 1120 kg/m3, 1.2 mm of mesh at 85 %,
grooves of 2 x 4 mm every 20 mm, 60 m of 12 mm line: derived.
"""

from __future__ import annotations

import math
from copy import deepcopy
from typing import Any

import pytest
import yaml

from cases import demo_case_path
from optimiser.case.amounts_document import ResinQuantities
from optimiser.case.read_back import read_back
from optimiser.case.read_case import case_from_mapping

NINE_DIGITS = 5e-9
"""Half a unit of the last digit written down; cells and lengths of line add up to the whole within round-off."""
TO_THE_GRAM = 1e-3
LINES, LINE_MM = 10, 6000


def shopping_case() -> dict[str, Any]:
    data: dict[str, Any] = deepcopy(yaml.safe_load(demo_case_path("flat_panel").read_text("utf-8")))
    data["sheet"]["outlines"][0]["border_mm"] = [[0, 0], [8000, 0], [8000, 5000], [0, 5000]]
    glass = data["reinforcements"]["biax 600"]
    glass |= {"fibre_density_kg_m3": 2540, "areal_weight_g_m2": 4800}
    core = data["cores"]["grooved 12"]
    core["grooves"] = [{"width_mm": 2, "depth_mm": 4, "pitch_mm": 20, "angle_deg": 0}]
    core |= {"perforations": None, "surface_uptake_g_m2": 0}
    data["flow_meshes"] = {"mesh": {"thickness_mm": 1.2, "porosity_percent": 85, "permeability_m2": 3e-9}}
    data["laminates"]["sandwich"] = {
        "fibre_volume_percent": 54,
        "layers": [{"ply": "biax 600", "angle_deg": 0}, {"core": "grooved 12"}, {"flow_mesh": "mesh"}],
    }
    line = data["feed_lines"][0]
    data["feed_lines"] = [
        {
            **line,
            "name": str(k + 1),
            "hose_bore_mm": 3,
            "sections": [
                {
                    "run_mm": [[1000, 250 + 500 * k], [1000 + LINE_MM, 250 + 500 * k]],
                    "hose_length_mm": 20,
                    "inlet": "middle",
                }
            ],
        }
        for k in range(LINES)
    ]
    for vent, y_mm in zip(data["vents"], (20, 4980), strict=True):
        vent["run_mm"] = [[20, y_mm], [7980, y_mm]]
    data["supply"]["manifold_volume_litres"] = 0
    data["resin"]["density_kg_m3"] = 1120
    data["search"] = {"cell_mm": 100, "coarse_cell_mm": 200}
    return data


@pytest.fixture(scope="module")
def resin() -> ResinQuantities:
    data = shopping_case()
    data["process"] |= {"reserve_percent": 10, "drum_kg": 25}
    return read_back(case_from_mapping(data)).resin


def hoses_kg() -> float:
    """Ten stubs of 20 mm at 3 mm bore, the smallest that a case takes: 1.6 g that the list does not know."""
    return LINES * math.pi / 4 * 0.003**2 * 0.02 * 1120


def test_resin_by_use_is_that_of_the_list(resin: ResinQuantities) -> None:
    """64.391951, 40.8, 16 and 6.78584013 litres."""
    litres = [64.3919510, 40.8, 16.0, 6.78584013]
    used = [resin.laminate_kg, resin.flow_mesh_kg, resin.core_kg, resin.feed_lines_kg]
    assert used == pytest.approx([one * 1.12 for one in litres], rel=NINE_DIGITS)
    assert sum(used) == pytest.approx(143.335126, rel=NINE_DIGITS)
    assert resin.hoses_and_manifold_kg == pytest.approx(hoses_kg())


def test_total_is_that_of_the_list_with_its_reserve(resin: ResinQuantities) -> None:
    """157.668639 kg with 10 %, beside the hoses."""
    assert resin.total_kg - 1.1 * hoses_kg() == pytest.approx(157.668639, rel=NINE_DIGITS)
    assert resin.total_kg == pytest.approx(157.668639, abs=2 * TO_THE_GRAM)


def test_initiator_and_drums_go_with_the_total(resin: ResinQuantities) -> None:
    """1.5 % by weight; seven drums of 25 kg hold 175 kg, six hold 150."""
    assert resin.initiator_kg == pytest.approx(0.015 * resin.total_kg)
    assert resin.drums == 7


def test_a_supply_hose_is_filled_and_bought_too() -> None:
    """Five metres at 20 mm hold 1.571 litres (pi d^2 L / 4)."""
    data = shopping_case()
    data["supply"]["supply_hose"] = {"bore_mm": 20, "length_mm": 5000}
    resin = read_back(case_from_mapping(data)).resin
    assert resin.hoses_and_manifold_kg - hoses_kg() == pytest.approx(math.pi / 4 * 0.02**2 * 5 * 1120)


def test_without_a_drum_in_the_case_none_are_counted() -> None:
    """Nothing is assumed of how resin is sold."""
    assert read_back(case_from_mapping(shopping_case())).resin.drums is None
