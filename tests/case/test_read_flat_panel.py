"""The flat panel becomes the shot its document describes, in SI, under a digest of its own."""

from __future__ import annotations

import copy
import json
import math
from typing import Any

import numpy as np
import pytest

from cases import demo_case_names, demo_case_path
from optimiser.case.read_back import read_back
from optimiser.case.read_case import Case, case_from_mapping, read_case
from optimiser.case.read_text import read_data
from optimiser.part.shot import SupplyKind

CASE = read_case(demo_case_path("flat_panel"))


def flat_panel() -> Any:
    return read_data(demo_case_path("flat_panel"))


def test_lengths_and_labels_come_through() -> None:
    """Millimetres become metres, an undivided line's tap bears the line's name."""
    part = CASE.shot.part
    assert part.outlines[0].border_m == ((0, 0), (4.8, 0), (4.8, 1.8), (0, 1.8))
    assert [line.label for line in part.feed_lines] == ["1", "2", "3"]
    np.testing.assert_allclose(part.feed_lines[1].run_m, ((0.1, 0.9), (4.7, 0.9)))
    assert part.feed_lines[1].inlet_share == 0.5
    assert part.feed_lines[1].hose_length_m == pytest.approx(2.5)
    assert part.vents[0].catch_pot_m3 == pytest.approx(0.010)


def test_pressures_temperatures_and_shares_come_through() -> None:
    """Absolute millibars become pascals, degrees kelvin, percentages shares."""
    process, supply, resin = CASE.shot.process, CASE.shot.supply, CASE.shot.resin
    assert (process.ambient_pa, process.vacuum_pa) == pytest.approx((101_300, 2500))
    assert process.mould_temperature_k == pytest.approx(293.15)
    assert (process.gel_fraction, process.reserve_fraction) == pytest.approx((0.7, 0.1))
    assert process.smallest_lock_m2 == pytest.approx(0.005)
    assert supply.kind is SupplyKind.OPEN_CONTAINER
    assert (supply.most_pressure_pa, supply.height_m) == pytest.approx((101_300, -0.6))
    assert supply.most_flow_m3_s is None
    assert resin.viscosity_points[1].viscosity_pa_s == pytest.approx(0.25)
    assert resin.gel_points[1].gel_time_s == pytest.approx(5400)
    assert resin.initiator_fraction == pytest.approx(0.015)
    assert CASE.shot.process.permeability_spread_fraction == pytest.approx(0.25)
    assert CASE.drop_test is not None
    assert (CASE.drop_test.most_rise_pa, CASE.drop_test.duration_s) == pytest.approx((1000, 900))


def test_a_race_track_comes_through_and_takes_resin() -> None:
    """2 by 20 mm over 4.8 m: 0.192 litres of it."""
    data = flat_panel()
    assert data.get("race_tracks") is None
    data["race_tracks"] = [{"name": "edge", "run_mm": [[0, 0], [4800, 0]], "width_mm": 2, "depth_mm": 20}]
    case = case_from_mapping(data)
    (track,) = case.shot.part.race_tracks
    assert (track.width_m, track.depth_m) == pytest.approx((0.002, 0.020))
    assert case.digest != CASE.digest
    understood = read_back(case).resin.race_tracks_kg
    assert understood == pytest.approx(0.002 * 0.020 * 4.8 * case.shot.resin.density_kg_m3, rel=1e-9)


def test_a_bay_of_the_demo_fills_in_eight_to_twelve_minutes() -> None:
    """By the closed form t = H mu L^2 / (2 K h dP) of a straight front (Darcy 1856), without hoses."""
    laminate = CASE.shot.part.areas[0].laminate
    driving_pa = CASE.shot.process.ambient_pa - CASE.shot.process.vacuum_pa
    across_m3 = laminate.transmissibility_m3[1, 1]
    bay_s = laminate.pore_depth_m * 0.25 * 0.6**2 / (2 * across_m3 * driving_pa)
    assert 8 * 60 < bay_s < 12 * 60


def test_the_machine_is_capped_in_volume_by_the_density_of_its_resin() -> None:
    """6 kg/min of 1080 kg/m3 is 92.6 ml/s."""
    document = flat_panel()
    document["supply"] = {
        "kind": "metering_machine",
        "flow_cap_kg_per_min": 6,
        "pressure_cap_mbar_abs": 900,
        "manifold_height_mm": 400,
    }
    supply = case_from_mapping(document).shot.supply
    assert supply.most_flow_m3_s == pytest.approx(6 / 60 / 1080)
    assert (supply.most_pressure_pa, supply.height_m) == pytest.approx((90_000, 0.4))


def test_sections_share_a_line_and_have_labels_of_their_own() -> None:
    """LINE-SECTION stands on the tap; a percentage says where the hose joins."""
    document = flat_panel()
    document["feed_lines"][2]["sections"] = [
        {"name": "FWD", "run_mm": [[2500, 1500], [4700, 1500]], "hose_length_mm": 900, "inlet": "end"},
        {"name": "AFT", "run_mm": [[100, 1500], [2400, 1500]], "hose_length_mm": 900, "inlet": 25},
    ]
    forward, aft = case_from_mapping(document).shot.part.feed_lines[2:]
    assert (forward.label, forward.line, forward.inlet_share) == ("3-FWD", "3", 1.0)
    assert (aft.label, aft.line, aft.inlet_share) == ("3-AFT", "3", 0.25)


def test_a_closed_border_is_the_same_as_an_open_one() -> None:
    """Some drawings repeat the first corner at the end."""
    document = flat_panel()
    document["sheet"]["outlines"][0]["border_mm"].append([0, 0])
    assert case_from_mapping(document).shot.part.outlines == CASE.shot.part.outlines


def shuffled(node: Any) -> Any:
    if isinstance(node, dict):
        return {key: shuffled(node[key]) for key in reversed(node)}
    return [shuffled(entry) for entry in node] if isinstance(node, list) else node


def test_the_digest_rests_on_what_is_said_and_not_on_how() -> None:
    """YAML or JSON, other order of keys, 25 or 25.0: one digest."""
    again = json.dumps(shuffled(flat_panel())).encode()
    floats = flat_panel()
    floats["process"]["vacuum_mbar_abs"] = 25.0
    assert read_case(again).digest == case_from_mapping(floats).digest == CASE.digest
    assert len(CASE.digest) == 64


def test_the_digest_changes_with_any_value() -> None:
    """A tenth of a millibar is another case."""
    other = flat_panel()
    other["process"]["vacuum_mbar_abs"] = 25.1
    assert case_from_mapping(other).digest != CASE.digest


def test_reading_leaves_the_data_as_it_was() -> None:
    """The caller's mapping is not filled in behind its back."""
    document = flat_panel()
    del document["crew"]
    before = copy.deepcopy(document)
    case_from_mapping(document)
    assert document == before


def test_the_complete_document_reads_as_itself() -> None:
    """What a case holds after assumptions is a case again: the same shot, nothing left to assume."""
    document = flat_panel()
    for key in ("crew", "rules", "search"):
        del document[key]
    first = case_from_mapping(document)
    again: Case = read_case(first.document.model_dump_json().encode())
    assert (again.shot, again.values_taken) == (first.shot, ())


def test_definitions_without_use_are_warned_about() -> None:
    """They may be left over or misspelt, but nobody is hurt by them."""
    document = flat_panel()
    document["flow_meshes"] = {"fine": {"thickness_mm": 1, "porosity_percent": 80, "permeability_m2": 2e-9}}
    document["laminates"]["mesh up"] = {"fibre_volume_percent": 52, "layers": [{"flow_mesh": "fine"}]}
    assert case_from_mapping(document).warnings == ("/laminates/mesh up is defined but not used",)
    del document["laminates"]["mesh up"]
    assert case_from_mapping(document).warnings == ("/flow_meshes/fine is defined but not used",)


def test_an_area_wholly_under_later_ones_is_warned_about() -> None:
    """It counts for nothing, which may not be what was meant."""
    document = flat_panel()
    patch = {"name": "patch", "laminate": "sandwich", "border_mm": [[0, 0], [900, 0], [900, 900]]}
    document["areas"] = [patch, {"name": "all", "laminate": "sandwich", "border_mm": None}]
    assert any("/areas/0" in warning for warning in case_from_mapping(document).warnings)


def test_every_demo_reads_without_warning() -> None:
    """The demos teach the format, so nothing in them is odd."""
    for name in demo_case_names():
        assert read_case(demo_case_path(name)).warnings == ()


def test_an_unknown_demo_is_refused_by_name() -> None:
    """Nor does a path get through as a name."""
    for name in ("submarine", "../flat_panel", ""):
        with pytest.raises(ValueError, match="no demo case"):
            demo_case_path(name)


def test_the_angle_of_a_layer_is_kept() -> None:
    """Degrees from the x axis become radians."""
    document = flat_panel()
    document["laminates"]["sandwich"]["layers"][0]["angle_deg"] = -45
    laminate = case_from_mapping(document).shot.part.areas[0].laminate
    assert laminate.layers[0].angle_rad == pytest.approx(-math.pi / 4)
