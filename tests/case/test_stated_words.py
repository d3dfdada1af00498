"""What the case states is said back: each number of supply, resin, day and crew, to be held against the shop."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import pytest
import yaml

from cases import demo_case_path
from optimiser.case.merge_patch import merge_patch
from optimiser.case.read_back import read_back
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
        ({"process": {"drop_test": {"pump_m3_per_h": 23}}}, "pump", "23 m3/h"),
        ({"process": {"drum_kg": 41}}, "drums", "41 kg each"),
        ({"process": {"gel_judged_by": "each_place"}}, "gel limit", "of the resin at each place"),
        ({"process": {"gel_fraction_percent": 61}}, "gel limit", "61 % of the gel time"),
        ({"process": {"smallest_lock_cm2": 222}}, "locked air", "222 cm2"),
        ({"process": {"permeability_spread_percent": 19}}, "permeability", "19 % all over"),
        ({"search": {"scenarios": 37}}, "variations of the day", "37 played"),
        ({"process": {"scatter": {"late_up_to_s": 61}}}, "variations of the day", "61 s late"),
        (
            {"process": {"scatter": {"laminates": [{"laminate": "sandwich", "variation_percent": 8}]}}},
            "variations of the day",
            "sandwich 8 %",
        ),
        ({"process": {"reserve_percent": 13}}, "reserve", "13 %"),
        ({"laminates": {"sandwich": {"compaction": {"stated_at_mbar": 444}}}}, "bag", "as stated at 444 mbar"),
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
    assert said["hose and manifold"] == "not bled before later taps"
    bled = words({"supply": MACHINE | {"bled_before_each_tap": True}}, whole=True)
    assert bled["hose and manifold"] == "into a flush pot under vacuum before each later tap"


def test_a_course_of_temperatures_is_said_back_row_by_row() -> None:
    """Each row as entered."""
    rows = [
        {"at_min": at_min, "mould_temperature_c": mould_c, "resin_temperature_c": 20}
        for at_min, mould_c in ((0, 20), (33, 21.5), (240, 23))
    ]
    said = words({"process": {"temperatures": rows, "age_at_first_tap_min": 5}})["temperatures"]
    assert said.endswith("min 0 mould 20, resin 20; min 33 mould 21.5, resin 20; min 240 mould 23, resin 20")


def test_what_is_entered_is_shown_and_what_only_a_run_tells_is_not() -> None:
    """Heights as entered and not of cells; where hoses join; no kilogram that was not worked out."""
    data = deepcopy(yaml.safe_load(demo_case_path("hatch_cover").read_text("utf-8")))
    data["sheet"]["heights"] = [
        {"at_mm": at, "height_mm": up} for at, up in (([0, 0], 3), ([2400, 0], 3), ([0, 1200], 87))
    ]
    data["feed_lines"][1]["sections"][0]["inlet"] = 40
    data["vents"][0] |= {"outlet": "middle", "may_stay_clamped": True}
    data["search"] = {"cell_mm": 100, "coarse_cell_mm": 100}
    shown = read_back(case_from_mapping(data))
    assert (shown.lowest_mm, shown.highest_mm) == (3, 87)
    assert shown.lines[1].hose_joins == "40 %"
    assert (shown.vents[0].hose_joins, shown.vents[0].use) == ("middle", "may stay clamped")
    assert not {"drawn_into_vents_kg", "swollen_kg", "in_catch_pots_kg"} & set(shown.resin.model_dump())
    assert shown.resin.only_a_run_tells == ["what the vents draw", "what the bag that gives takes up"]


def test_gaps_and_laminates_that_give_are_named() -> None:
    """With the length along the run; without any it is said that none is counted, and that the bag is rigid."""
    gap = {"name": "keel edge", "run_mm": [[0, 0], [300, 400]], "width_mm": 3, "depth_mm": 12}
    assert words({"race_tracks": [gap]})["gaps"] == "keel edge 500 mm long, 3 wide, 12 deep"
    assert words({})["bag"].startswith("gives over sandwich")
    plain = words({}, demo="flat_panel")
    assert plain["gaps"] == "none named: none counted"
    assert plain["bag"] == "rigid: thickness as stated, wet or dry"
