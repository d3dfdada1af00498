"""What the case states is said back: each number of supply, resin, day and crew, to be held against the shop."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import pytest
import yaml

from cases import demo_case_path
from optimiser.case.merge_patch import merge_patch
from optimiser.case.read_case import case_from_mapping
from optimiser.case.stated_words import stated_words

MACHINE = {
    "kind": "metering_machine",
    "flow_cap_kg_per_min": 8.25,
    "pressure_cap_mbar_abs": 933,
    "manifold_height_mm": 721,
    "manifold_volume_litres": 1.25,
}


def words(patch: dict[str, Any], *, demo: str = "hatch_cover", whole: bool = False) -> dict[str, str]:
    """Of the demo with the patch (RFC 7396) over it; whole: blocks of the patch take the place of those there."""
    data = deepcopy(yaml.safe_load(demo_case_path(demo).read_text("utf-8")))
    patched = data | patch if whole else merge_patch(data, patch)
    return dict(stated_words(case_from_mapping(patched).document))


@pytest.mark.parametrize(
    ("patch", "about", "says"),
    [
        ({"supply": {"surface_height_mm": -432}}, "height of the resin's surface", "-432 mm"),
        ({"supply": {"manifold_volume_litres": 0.75}}, "manifold", "0.75 litres"),
        ({"supply": {"supply_hose": {"bore_mm": 11, "length_mm": 1234}}}, "supply hose", "1234 mm of 11 mm bore"),
        ({"resin": {"batch": "B-77"}}, "resin", "batch B-77"),
        ({"resin": {"initiator": {"level_percent": 1.5, "most_percent": 1.75}}}, "initiator", "1.5 % of the resin"),
        ({"process": {"mould_temperature_c": 21, "resin_temperature_c": 19}}, "temperatures", "mould 21 °C, resin 19"),
        ({"process": {"ambient_mbar_abs": 991}}, "pressures", "air 991 mbar abs"),
        ({"process": {"vacuum_mbar_abs": 31}}, "pressures", "under the bag 31 mbar abs"),
        ({"process": {"age_at_first_tap_min": 7}}, "age at the first tap", "7 min"),
        ({"process": {"drop_test": {"most_rise_mbar": 9, "minutes": 17}}}, "drop test", "at most 9 mbar in 17 min"),
        ({"process": {"drop_test": None}}, "drop test", "no limit stated"),
        ({"crew": {"hands": 2, "seconds_per_action": 33}}, "crew", "2 at the taps, 33 s a tap"),
        ({"rules": {"order": ["2", "1"]}}, "rules of the shop", "order 2, 1"),
    ],
)
def test_a_number_of_the_case_is_said_back(patch: dict[str, Any], about: str, says: str) -> None:
    """Under its own heading, with its unit; and nothing but that line has changed."""
    before, after = words({}), words(patch)
    assert says in after[about]
    assert {key for key in after if after[key] != before.get(key)} == {about}


def test_caps_of_a_machine_and_its_height_are_said_back() -> None:
    """In place of the surface of the resin, which a machine has not."""
    said = words({"supply": MACHINE}, whole=True)
    assert said["caps of the machine"] == "8.25 kg/min and 933 mbar abs at its outlet"
    assert said["manifold height"] == "721 mm"
    assert said["supply hose"].startswith("none stated: nothing is lost")
    assert "height of the resin's surface" not in said


def test_gaps_and_laminates_that_give_are_named() -> None:
    """With the length along the run; without any it is said that none is counted, and that the bag is rigid."""
    gap = {"name": "keel edge", "run_mm": [[0, 0], [300, 400]], "width_mm": 3, "depth_mm": 12}
    assert words({"race_tracks": [gap]})["gaps"] == "keel edge 500 mm long, 3 wide, 12 deep"
    assert words({})["bag"].startswith("gives over sandwich")
    plain = words({}, demo="flat_panel")
    assert plain["gaps"] == "none named: none counted"
    assert plain["bag"] == "rigid: thickness as stated, wet or dry"
