"""One case from a layout, a resin and changes; its digests say what of it has changed."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import pytest

from cases import demo_case_path
from optimiser.case.case_digests import digests_of
from optimiser.case.compose_case import compose_case
from optimiser.case.read_case import case_from_mapping
from optimiser.case.read_text import read_data
from optimiser.errors import InputError


def layout() -> Any:
    return read_data(demo_case_path("flat_panel"))


def other_resin() -> dict[str, Any]:
    return {**layout()["resin"], "name": "Another", "batch": "B-7", "density_kg_m3": 1100}


def refused(**how: Any) -> list[str]:
    with pytest.raises(InputError) as caught:
        compose_case(layout(), **how)
    return [fault.path for fault in caught.value.faults]


def test_a_layout_alone_is_itself() -> None:
    """Same data, same digest as read directly."""
    composed = compose_case(layout())
    assert composed.data == layout()
    assert composed.case.digest == case_from_mapping(layout()).digest
    assert composed.digests == digests_of(composed.case)


def test_resin_first_then_changes() -> None:
    """The resin block is replaced whole; the changes merge into what comes of it (RFC 7396)."""
    changes = {"resin": {"initiator": {"level_percent": 1.5}}, "process": {"drop_test": None}}
    before = layout()
    composed = compose_case(before, resin=other_resin(), changes=changes)
    document = composed.case.document
    assert (document.resin.name, document.resin.initiator.level_percent) == ("Another", 1.5)
    assert document.resin.initiator.least_percent == 1.2
    assert document.process.drop_test is None
    assert before == layout()


def test_what_is_taken_away_is_assumed_and_listed() -> None:
    """Null removes; the assumption that stands in is told, as always."""
    composed = compose_case(layout(), changes={"crew": None})
    assert "/crew/hands" in {assumption.path for assumption in composed.case.assumptions}


def test_the_part_may_not_be_changed_by_a_request() -> None:
    """Every block that is refused, with a pointer into the changes."""
    changes = {"vents": [], "process": {}, "note": "x", "sheet": {"heights": []}}
    assert refused(changes=changes) == ["/changes/vents", "/changes/note", "/changes/sheet"]
    assert refused(changes=[1]) == ["/changes"]
    assert refused(changes={"process": {"vacuum_mbar_abs": float("nan")}}) == ["/changes/process/vacuum_mbar_abs"]


def test_changes_that_make_no_case_are_refused_where_they_lead() -> None:
    """With pointers to where it was written: in the changes, or else in the case."""
    assert refused(changes={"process": {"mould_temperature_c": 70}}) == ["/changes/process/mould_temperature_c"]
    assert refused(changes={"supply": None}) == ["/changes/supply"]
    assert refused(changes={"rules": {"start": ["2", "no such"]}}) == ["/changes/rules/start/1"]


def test_what_is_missing_in_a_block_of_the_changes_is_asked_for_there() -> None:
    """Mixes have a size, and what an open container has besides is none of theirs; all is written in the changes. Of a
    resin that is only given its level, its gel times are not."""
    assert "/changes/supply/mix_kg" in refused(changes={"supply": {"kind": "mixes"}})
    machine = {"kind": "metering_machine", "flow_cap_kg_per_min": 2, "pressure_cap_mbar_abs": 900}
    paths = refused(changes={"supply": machine})
    assert "/changes/supply/surface_height_mm" in paths
    assert all(path.startswith("/changes/supply/") for path in paths)
    gel = {**layout()["resin"], "gel_time_points": []}
    assert refused(resin=gel, changes={"resin": {"initiator": {"level_percent": 1.5}}}) == ["/resin/gel_time_points"]


@pytest.mark.parametrize(
    ("change", "path"),
    [
        ({"name": "other"}, "/name"),
        ({"batch": "C-1"}, "/batch"),
        ({"density_kg_m3": 1000}, "/density_kg_m3"),
        ({"viscosity_points": []}, "/viscosity_points"),
        ({"gel_time_points": None}, "/gel_time_points"),
        ({"initiator": {"level_percent": 1.5, "most_percent": 1.8}}, "/initiator/most_percent"),
        ({"initiator": {"least_percent": 1.0}}, "/initiator/least_percent"),
        ({"initiator": None}, "/initiator"),
        ({"colour": "red"}, "/colour"),
        (None, ""),
        (other_resin(), "/name"),
    ],
)
def test_a_resin_of_the_store_stays_as_it_is(change: Any, path: str) -> None:
    """Else a plan would be kept as one for a batch whose gel times it does not have."""
    assert f"/changes/resin{path}" in refused(resin=other_resin(), changes={"resin": change})


def test_the_resin_of_a_layout_may_be_changed_by_a_request() -> None:
    """It is this layout's alone."""
    changes = {"resin": {"batch": "C-1", "density_kg_m3": 1000, "initiator": {"most_percent": 1.8}}}
    resin = compose_case(layout(), changes=changes).case.document.resin
    assert (resin.batch, resin.density_kg_m3, resin.initiator.most_percent) == ("C-1", 1000, 1.8)


CHANGES: dict[str, tuple[set[str], dict[str, Any]]] = {
    "resin": ({"resin"}, {"resin": {"batch": "C-1"}}),
    "level": ({"resin"}, {"resin": {"initiator": {"least_percent": 1.0}}}),
    "supply": ({"settings"}, {"supply": {"surface_height_mm": -500}}),
    "process": ({"settings"}, {"process": {"vacuum_mbar_abs": 26}}),
    "crew": ({"settings"}, {"crew": {"hands": 2}}),
    "rules": ({"settings"}, {"rules": {"start": ["2"]}}),
    "search": ({"settings"}, {"search": {"seed": 2}}),
    "assumed": ({"settings"}, {"crew": {"hands": None}}),
    "nothing": (set(), {"process": {"vacuum_mbar_abs": 25.0}}),
}


@pytest.mark.parametrize("name", CHANGES)
def test_only_the_digest_of_what_changed_changes(name: str) -> None:
    """A value assumed is not the same as that value stated; 25 and 25.0 are."""
    moved, changes = CHANGES[name]
    before, after = compose_case(layout()).digests, compose_case(layout(), changes=changes).digests
    assert {
        block for block in ("part", "resin", "settings") if getattr(before, block) != getattr(after, block)
    } == moved


@pytest.mark.parametrize(
    "block", ["sheet", "reinforcements", "cores", "flow_meshes", "laminates", "areas", "feed_lines", "vents"]
)
def test_every_block_of_the_part_counts_in_its_digest(block: str) -> None:
    """And in no other; the name and the note count in none."""
    other = deepcopy(layout())
    touch(other, block)
    before, after = digests_of(case_from_mapping(layout())), digests_of(case_from_mapping(other))
    assert before.part != after.part
    assert (before.resin, before.settings) == (after.resin, after.settings)
    renamed = {**layout(), "name": "Other", "note": "other"}
    assert digests_of(case_from_mapping(renamed)) == before


def touch(data: dict[str, Any], block: str) -> None:
    match block:
        case "sheet":
            data["sheet"]["outlines"][0]["border_mm"][1] = [4801, 0]
        case "reinforcements":
            data["reinforcements"]["biax 600"]["areal_weight_g_m2"] = 601
        case "cores":
            data["cores"]["grooved 12"]["surface_uptake_g_m2"] = 251
        case "flow_meshes":
            data["flow_meshes"] = {"m": {"thickness_mm": 1, "porosity_percent": 80, "permeability_m2": 2e-9}}
        case "laminates":
            data["laminates"]["sandwich"]["layers"][0]["angle_deg"] = 1
        case "areas":
            data["areas"][0]["name"] = "all of it"
        case "feed_lines":
            data["feed_lines"][0]["bore_mm"] = 13
        case _:
            data["vents"][0]["catch_pot_litres"] = 11
