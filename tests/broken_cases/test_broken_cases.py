"""Every broken document is refused with the pointers of what is wrong in it, and with nothing else."""

from __future__ import annotations

import copy
from pathlib import Path
from typing import Any

import pytest
import yaml

from cases import demo_case_path
from optimiser.case.pointer import keys_of
from optimiser.case.read_case import case_from_mapping, read_case
from optimiser.case.read_text import read_data
from optimiser.errors import InputError

FOLDER = Path(__file__).parent
Entry = dict[str, Any]


def entries(file: str) -> list[Any]:
    listed = yaml.safe_load((FOLDER / file).read_text(encoding="utf-8"))
    return [pytest.param(entry, id=entry["name"]) for entry in listed]


def flat_panel() -> Any:
    return read_data(demo_case_path("flat_panel"))


def patched(document: Any, patch: list[Entry]) -> Any:
    """The document after the add, replace and remove operations of RFC 6902."""
    document = copy.deepcopy(document)
    for change in patch:
        *way, last = keys_of(change["path"])
        place = document
        for key in way:
            place = place[int(key)] if isinstance(place, list) else place[key]
        if isinstance(place, list):
            at = len(place) if last == "-" else int(last)
            place[at : at + (change["op"] != "add")] = [] if change["op"] == "remove" else [change["value"]]
        elif change["op"] == "remove":
            del place[last]
        else:
            assert (last in place) == (change["op"] == "replace"), f"{change} does not fit the flat panel"
            place[last] = change["value"]
    return document


def named_paths(error: InputError) -> set[str]:
    return {fault.path for fault in error.faults}


def surface_panel(entry: Entry) -> Any:
    """The flat panel on a triangle surface of two by one metres, rising at one to two across."""
    document = flat_panel()
    document["sheet"] = {"surface": {key: entry[key] for key in ("vertices_mm", "triangles")}}
    run = entry.get("run_mm", [[100, 500, 250], [1900, 500, 250]])
    document["feed_lines"] = document["feed_lines"][:1]
    document["feed_lines"][0]["sections"][0]["run_mm"] = run
    for vent, y_mm in zip(document["vents"], (20, 980), strict=True):
        vent["run_mm"] = [[run[0][0], y_mm, y_mm / 2], [run[-1][0], y_mm, y_mm / 2]]
    document["areas"][0]["border_mm"] = entry.get("area_border_mm")
    document["process"] |= entry.get("process", {})
    document["search"] |= entry.get("search", {})
    return document


@pytest.mark.parametrize("entry", entries("patched.yaml"))
def test_a_patched_flat_panel_is_refused_with_the_pointers_of_its_faults(entry: Entry) -> None:
    """All faults of one kind are told at once, each at its place, none invented."""
    with pytest.raises(InputError) as caught:
        case_from_mapping(patched(flat_panel(), entry["patch"]))
    assert named_paths(caught.value) == set(entry["names"])


@pytest.mark.parametrize("entry", entries("surfaces.yaml"))
def test_a_broken_surface_is_refused_with_the_pointers_of_its_faults(entry: Entry) -> None:
    """A triangle mesh that no flow can be computed on is named by triangle, vertex or run."""
    with pytest.raises(InputError) as caught:
        case_from_mapping(surface_panel(entry))
    assert named_paths(caught.value) == set(entry["names"])


def test_the_surface_that_the_broken_ones_differ_from_is_sound() -> None:
    """So each broken surface fails for the reason it names."""
    sound = {
        "vertices_mm": [[0, 0, 0], [2000, 0, 0], [2000, 1000, 500], [0, 1000, 500]],
        "triangles": [[0, 1, 2], [0, 2, 3]],
    }
    assert case_from_mapping(surface_panel(sound)).shot.part.surface is not None


@pytest.mark.parametrize("entry", entries("texts.yaml"))
def test_a_broken_text_is_refused_before_its_shape_is_looked_at(entry: Entry) -> None:
    """What is not one plain document never gets as far as the shapes."""
    with pytest.raises(InputError) as caught:
        read_case(entry["text"].encode("utf-8", "surrogatepass"))
    assert named_paths(caught.value) == set(entry["names"])


@pytest.mark.parametrize("entry", [*entries("patched.yaml"), *entries("surfaces.yaml")])
def test_every_fault_says_what_was_found_and_what_is_expected(entry: Entry) -> None:
    """In words that can be printed anywhere, short enough to read."""
    document = patched(flat_panel(), entry["patch"]) if "patch" in entry else surface_panel(entry)
    with pytest.raises(InputError) as caught:
        case_from_mapping(document)
    for fault in caught.value.faults:
        assert fault.found
        assert fault.expected
        assert len(str(fault)) < 600
        assert "pydantic" not in str(fault).lower()


def test_there_are_enough_broken_cases_to_mean_something() -> None:
    """The folder keeps at least the number it was asked to hold."""
    counted = sum(len(entries(file)) for file in ("patched.yaml", "surfaces.yaml", "texts.yaml"))
    assert counted >= 35
