"""Values that can be but ask for a second look are told, and only those."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import pytest

from cases import demo_case_path
from optimiser.case.amounts_document import PlannedMix
from optimiser.case.planned_mixes import mixes_in_a_rush
from optimiser.case.read_back import read_back
from optimiser.case.read_case import case_from_mapping
from optimiser.case.read_text import read_data
from optimiser.part.shot import Shot


def flat_panel() -> Any:
    return deepcopy(dict(read_data(demo_case_path("flat_panel"))))


def warnings_of(document: Any) -> list[str]:
    return list(read_back(case_from_mapping(document)).warnings)


def told(document: Any, words: str) -> list[str]:
    return [warning for warning in warnings_of(document) if words in warning]


@pytest.mark.parametrize(("vacuum_mbar", "told_times"), [(6.0, 1), (8.0, 0)])
def test_a_vacuum_under_which_styrene_boils(vacuum_mbar: float, told_times: int) -> None:
    """Styrene: 5 mm of mercury, 6.7 mbar, at 20 degrees C (from memory)."""
    document = flat_panel()
    document["process"]["vacuum_mbar_abs"] = vacuum_mbar
    assert len(told(document, "styrene boils")) == told_times


def test_a_cloth_tested_far_from_where_it_is_used() -> None:
    """Of (1 - Vf)^3 / Vf^2 from 30 to 52 %: 0.343 / 0.09 over 0.110592 / 0.2704, 9.3 times."""
    document = flat_panel()
    assert told(document, "was tested at") == []
    (name,) = {layer["ply"] for made in document["laminates"].values() for layer in made["layers"] if "ply" in layer}
    document["reinforcements"][name]["permeability"]["measured"]["at_fibre_volume_percent"] = 30
    for made in document["laminates"].values():
        made["fibre_volume_percent"] = 52
    (warning,) = told(document, "was tested at")
    assert "9.3 times less" in warning


@pytest.mark.parametrize(("height_mm", "says"), [(-9000, "9.0 m below"), (-2900, None), (8000, "8.0 m above")])
def test_a_container_as_from_another_datum(height_mm: float, says: str | None) -> None:
    """Three metres above or below all of the part are taken without a word."""
    document = flat_panel()
    document["supply"]["surface_height_mm"] = height_mm
    found = told(document, "the same datum")
    assert [says in warning for warning in found] == ([] if says is None else [True])


SLIPS = {
    "reinforcements/*/areal_weight_g_m2": 10.0,
    "reinforcements/*/permeability/measured/along_m2": 10.0,
    "cores/*/thickness_mm": 10.0,
    "cores/*/grooves/0/width_mm": 10.0,
    "cores/*/grooves/0/pitch_mm": 0.1,
    "feed_lines/0/bore_mm": 5.0,
    "supply/manifold_volume_litres": 100.0,
    "resin/density_kg_m3": 1.76,
    "resin/viscosity_points/0/viscosity_mpa_s": 8.0,
    "resin/gel_time_points/0/gel_time_min": 15.0,
    "process/vacuum_mbar_abs": 10.0,
    "reinforcements/*/fibre_density_kg_m3": 0.49,
    "laminates/*/layers/0/count": 20,
}


@pytest.mark.parametrize("path", SLIPS)
def test_a_digit_that_has_slipped(path: str) -> None:
    """Five to a hundred times off in the demo, one field at a time; the demo itself asks nothing."""
    document = flat_panel()
    assert told(document, "as a rule (common practice") == []
    keys = path.split("/")
    place = document
    for key in keys[:-1]:
        place = place[int(key)] if key.isdigit() else place[next(iter(place)) if key == "*" else key]
    stated = place[keys[-1]]
    place[keys[-1]] = SLIPS[path] * (stated if isinstance(SLIPS[path], int) else float(stated))
    (warning,) = told(document, "as a rule (common practice")
    assert keys[-1] in warning


def mix(number: int, wanted_at_s: float) -> PlannedMix:
    return PlannedMix(
        number=number,
        resin_kg=1.0,
        made_kg=1.0,
        initiator_kg=0.015,
        initiator_in_at_s=wanted_at_s,
        begin_at_drawn_kg=None,
        pour_by_drawn_kg=None,
        wanted_at_s=wanted_at_s,
        used_up_at_s=wanted_at_s + 100.0,
        gel_limit_at_s=3600.0,
    )


def shot_of_mixes(**stated: Any) -> Shot:
    document = flat_panel()
    document["supply"] = {
        "kind": "mixes",
        "mix_kg": 2,
        "surface_height_mm": 0,
        "manifold_volume_litres": 0.5,
        **stated,
    }
    return case_from_mapping(document).shot


def test_mixes_wanted_faster_than_anybody_mixes() -> None:
    """Only where the case does not say how long one takes; with it the plan is judged by it."""
    apart = [mix(1, 0.0), mix(2, 400.0), mix(3, 490.0)]
    (warning,) = mixes_in_a_rush(shot_of_mixes(), apart)
    assert "mix 3 is wanted 90 s after mix 2" in warning
    assert list(mixes_in_a_rush(shot_of_mixes(minutes_per_mix=1), apart)) == []
    assert list(mixes_in_a_rush(shot_of_mixes(), apart[:2])) == []
    assert list(mixes_in_a_rush(shot_of_mixes(), apart[:1])) == []


def test_a_laminate_of_flow_mesh_alone() -> None:
    """Nothing of it stays in the part; a mesh under plies is told nothing of."""
    document = flat_panel()
    document["flow_meshes"] = {"mesh": {"thickness_mm": 1, "porosity_percent": 85, "permeability_m2": 3.2e-9}}
    (name,) = {layer["ply"] for made in document["laminates"].values() for layer in made["layers"] if "ply" in layer}
    layers = [{"flow_mesh": "mesh"}]
    document["laminates"]["bare mesh"] = {"layers": layers}
    border_mm = [[1000, 400], [1800, 400], [1800, 800], [1000, 800]]
    document["areas"] = [*document["areas"], {"name": "bare", "laminate": "bare mesh", "border_mm": border_mm}]
    assert len(told(document, "laminate bare mesh is flow mesh and nothing else")) == 1
    layers.insert(0, {"ply": name, "angle_deg": 0, "count": 1, "fibre_volume_percent": 52})
    assert told(document, "flow mesh and nothing else") == []
