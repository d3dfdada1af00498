"""What a person is told of a layout before anything is poured."""

from __future__ import annotations

import math
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest
import yaml

from cases import demo_case_path
from optimiser.case.check_cells import smallest_lock_faults
from optimiser.case.read_back import read_back
from optimiser.case.read_case import case_from_mapping
from optimiser.errors import InputError

Change = Callable[[dict[str, Any]], None]


def _warnings(change: Change) -> list[str]:
    document = yaml.safe_load(demo_case_path("flat_panel").read_text())
    change(document)
    return read_back(case_from_mapping(document)).warnings


def _as_it_is(document: dict[str, Any]) -> None:
    del document["note"]


def _middle_line_gone(document: dict[str, Any]) -> None:
    del document["feed_lines"][1]


def _thin_lines(document: dict[str, Any]) -> None:
    for line in document["feed_lines"]:
        line["bore_mm"] = 4


def _coarse_cells(document: dict[str, Any]) -> None:
    document["search"] = {"cell_mm": 250, "coarse_cell_mm": 250}


def _vents_as_pipes(document: dict[str, Any]) -> None:
    for vent in document["vents"]:
        vent["pot_hose_bore_mm"] = 12


def _a_tap_called_stop(document: dict[str, Any]) -> None:
    document["feed_lines"][0]["name"] = "Stop"


def _nought_and_o(document: dict[str, Any]) -> None:
    for line, name in zip(document["feed_lines"], ("A0", "AO", "B"), strict=True):
        line["name"] = name


def _a_mix_for_ten_panels(document: dict[str, Any]) -> None:
    document["supply"] = {"kind": "mixes", "mix_kg": 400, "surface_height_mm": 0, "manifold_volume_litres": 1}


def _no_spread(document: dict[str, Any]) -> None:
    document["process"] |= {"permeability_spread_percent": 0, "permeability_patchy_percent": 0}


def _second_piece_without_line_or_vent(document: dict[str, Any]) -> None:
    far = [[6000, 0], [7000, 0], [7000, 1000], [6000, 1000]]
    document["sheet"]["outlines"].append({"name": "flap", "border_mm": far})


def test_a_layout_within_common_practice_warns_of_nothing() -> None:
    """Three lines 600 mm apart, feed lines of 12 mm, cells of 50 mm."""
    assert _warnings(_as_it_is) == []


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (_middle_line_gone, "from line 1 to line 3 resin runs 1200 mm"),
        (_thin_lines, "line 1 is long for its bore"),
        (_coarse_cells, "cells of 250 mm, and half the size, are coarse for lines 6"),
        (_a_tap_called_stop, "the label 'Stop' is an order on the run sheet too"),
        (_nought_and_o, "the labels 'A0' and 'AO' look alike on a tap"),
        (_a_mix_for_ten_panels, "one mix of 400 kg is more than the whole shot"),
        (_no_spread, "permeability_spread_percent and permeability_patchy_percent are 0"),
        (_vents_as_pipes, "vent V-FAR runs 20 mm inside the edge, less than a cell"),
    ],
)
def test_what_is_risky_is_named(change: Change, words: str) -> None:
    """A run beyond the longest, a starved far end, cells too coarse to show a lock, labels that are misread."""
    assert any(words in warning for warning in _warnings(change))


def _slips(document: dict[str, Any]) -> None:
    """Cells are coarse: nothing here depends on them."""
    document["search"] = {"cell_mm": 200, "coarse_cell_mm": 200}
    document["flow_meshes"] = {"mesh": {"thickness_mm": 1.2, "porosity_percent": 80, "permeability_m2": 1e-12}}
    document["laminates"]["sandwich"]["layers"].append({"flow_mesh": "mesh"})
    edge = [[0, 0], [4800, 0]]
    document["race_tracks"] = [{"name": "keel", "run_mm": edge, "width_mm": 100, "depth_mm": 100}]
    for line in document["feed_lines"]:
        line["hose_bore_mm"] = 3
        line["sections"][0]["hose_length_mm"] = 50_000
    (cloth,) = document["reinforcements"].values()
    measured = cloth["permeability"]["measured"]
    measured["through_m2"] = 1.05 * measured["across_m2"]
    measured["along_m2"] = 1.1 * measured["across_m2"]
    document["supply"] = {"kind": "metering_machine", "flow_cap_kg_per_min": 0.05, "pressure_cap_mbar_abs": 900}
    document["supply"] |= {"manifold_height_mm": 0, "manifold_volume_litres": 0.5}


def test_what_is_likely_a_slip_is_asked_about() -> None:
    """Each with its number; a hose of 3 mm by 50 m passes pi d4 / (128 L) dp / mu (Hagen-Poiseuille)."""
    warnings = _warnings(_slips)
    through = math.pi * 0.003**4 / (128 * 50) * 87_500 / 0.25 * 1080 * 60
    for words in (
        "the gap keel is 100 mm wide, which is a channel rather than a gap at an edge: is it 10 mm?",
        "the gap keel is 100 mm deep, and the thickest laminate",
        "the flow mesh mesh of laminate sandwich, 1e-12 m2, lets resin through no better than the plies under it",
        "is more than across the fabric",
        "the hose of 1, 50000 mm of 3 mm bore, leaves its line 0.",
        "Less than 50% too: 3, 2",
        f"lets through at most {through:.2g} kg/min",
        "at the flow cap of 0.05 kg/min the ",
        " kg of resin in the part take ",
    ):
        assert any(words in warning for warning in warnings), (words, warnings)


def test_a_piece_that_no_line_or_vent_reaches_is_refused() -> None:
    """More than a warning: no sequence could ever wet or drain it."""
    with pytest.raises(InputError) as caught:
        _warnings(_second_piece_without_line_or_vent)
    assert [fault.path for fault in caught.value.faults] == ["/feed_lines", "/vents"]


def test_a_lock_limit_of_a_tenth_of_the_sheet_is_refused() -> None:
    """A tenth dry would pass; a little less is the user's to decide."""
    document: Any = SimpleNamespace(process=SimpleNamespace(smallest_lock_cm2=180))
    (fault,) = smallest_lock_faults(document, 600.0 * 300.0)
    assert fault.path == "/process/smallest_lock_cm2"
    assert "less than a tenth of the sheet, 180 cm2" in fault.expected
    assert not list(smallest_lock_faults(document, 600.0 * 301.0))


def test_a_vent_that_is_a_pipe_may_lie_on_the_edge_or_far_inside_it() -> None:
    """Nothing lies beyond the one, and cells show what lies beyond the other."""

    def on_the_edge_and_far_inside(document: dict[str, Any]) -> None:
        _vents_as_pipes(document)
        for vent, y_mm in zip(document["vents"], (0, 1400), strict=True):
            vent["run_mm"] = [[0, y_mm], [4800, y_mm]]

    assert not [words for words in _warnings(on_the_edge_and_far_inside) if "inside the edge" in words]
