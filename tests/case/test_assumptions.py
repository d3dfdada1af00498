"""What a document leaves out is taken from one table and listed; nothing physical is assumed in silence."""

from __future__ import annotations

import re
from copy import deepcopy
from typing import Any

import pytest

from cases import demo_case_path
from optimiser.case.assumed import ASSUMED
from optimiser.case.case_digests import digests_of
from optimiser.case.read_case import case_from_mapping
from optimiser.case.read_text import read_data
from optimiser.errors import InputError

PATHS = [assumed.path for assumed in ASSUMED]


def flat_panel() -> Any:
    """The demo, and what it leaves out stated too."""
    document = deepcopy(dict(read_data(demo_case_path("flat_panel"))))
    document["supply"] = {**document["supply"], "supply_hose": {"bore_mm": 25, "length_mm": 2000}}
    document["vents"] = [{**vent, "pot_hose_bore_mm": 12, "outlet": "end"} for vent in document["vents"]]
    return document


def without(node: Any, keys: list[str]) -> Any:
    """The document without the field at a path in which * is any entry."""
    key, rest = keys[0], keys[1:]
    if key == "*":
        if isinstance(node, list):
            return [without(entry, rest) for entry in node]
        return {name: without(entry, rest) for name, entry in node.items()}
    if rest:
        return {**node, key: without(node[key], rest)}
    return {name: value for name, value in node.items() if name != key}


@pytest.mark.parametrize("path", PATHS)
def test_a_field_of_the_table_may_be_left_out_and_is_listed(path: str) -> None:
    """With its pointer, the value taken and the reason. The core is cut through, so that it may do without holes."""
    document = flat_panel()
    document["cores"]["grooved 12"]["grooves"][0]["depth_mm"] = 12
    case = case_from_mapping(without(document, path.split("/")[1:]))
    pattern = re.compile(re.escape(path).replace(r"\*", "[^/]+"))
    assert case.assumptions
    assert all(pattern.fullmatch(assumption.path) for assumption in case.assumptions)
    assert all(assumption.value and assumption.why for assumption in case.assumptions)


def test_a_document_that_says_everything_assumes_nothing() -> None:
    """The flat panel with its hoses states every physical field."""
    assert case_from_mapping(flat_panel()).assumptions == ()


def test_what_a_run_does_without_is_listed_and_stands_in_no_digest() -> None:
    """One entry for all vents alike; stored plans point to cases and parts by digests that know nothing of it."""
    document = flat_panel()
    document["supply"] = {**document["supply"], "kind": "mixes", "mix_kg": 20}
    del document["supply"]["supply_hose"]
    for vent in document["vents"]:
        del vent["pot_hose_bore_mm"]
        del vent["outlet"]
    case = case_from_mapping(document)
    listed = {one.path: one.value for one in case.assumptions}
    assert listed == {
        "/vents": "full vacuum all along every vent until it is clamped",
        "/supply/supply_hose": "no hose before the manifold",
        "/supply/mix_kg": "mixed by somebody who tends no tap",
        "/supply/minutes_per_mix": "0 min for a mix",
    }
    assert case.filled_in == case.values_taken == ()
    document["vents"][0]["pot_hose_bore_mm"] = 12
    one_left = {one.path: one.value for one in case_from_mapping(document).assumptions}
    assert one_left["/vents"] == "full vacuum all along V-FAR until it is clamped"


def test_digests_of_part_and_settings_do_not_know_what_is_done_without() -> None:
    """As they were before it was listed: of the demo."""
    digests = digests_of(case_from_mapping(read_data(demo_case_path("flat_panel"))))
    assert (digests.part[:8], digests.settings[:8]) == ("63f4f880", "bffa8e3b")


def test_all_fields_of_the_table_may_be_left_out_at_once() -> None:
    """The values taken are those of the table, with their units."""
    document = flat_panel()
    for path in PATHS:
        document = without(document, path.split("/")[1:])
    del document["crew"]
    document["laminates"]["sandwich"]["layers"] = document["laminates"]["sandwich"]["layers"][:2]  # a closed core
    case = case_from_mapping(document)
    taken = {assumption.path: assumption.value for assumption in case.assumptions}
    assert taken["/process/ambient_mbar_abs"] == "1013.25 mbar absolute"
    assert taken["/feed_lines/1/hose_bore_mm"] == "12 mm"
    assert taken["/vents/0/catch_pot_litres"] == "5 litres"
    assert taken["/cores/grooved 12/perforations"] == "none"
    assert taken["/crew/hands"] == "1"
    assert case.shot.process.ambient_pa == pytest.approx(101_325)
    assert case.shot.crew.action_s == pytest.approx(15)


def test_a_field_stated_with_the_assumed_value_gives_another_digest() -> None:
    """Two cases with one digest share one plan, and only one of these plans may list the value as assumed."""
    written, silent = flat_panel(), flat_panel()
    written["process"]["humidity_percent"] = 50
    del silent["process"]["humidity_percent"]
    assert case_from_mapping(written).digest != case_from_mapping(silent).digest
    assert case_from_mapping(written).shot == case_from_mapping(silent).shot


def test_a_null_is_no_leaving_out() -> None:
    """Null for a number is a fault; it does not call for the table."""
    document = flat_panel()
    document["process"]["ambient_mbar_abs"] = None
    with pytest.raises(InputError) as caught:
        case_from_mapping(document)
    assert [fault.path for fault in caught.value.faults] == ["/process/ambient_mbar_abs"]


def test_permeability_scaled_to_another_fibre_content_is_listed() -> None:
    """K(.55) / K(.50) = 0.602479339 by (1 - Vf)^3 / Vf^2, Kozeny-Carman (published form, from memory)."""
    document = flat_panel()
    document["reinforcements"]["biax 600"]["permeability"]["measured"]["at_fibre_volume_percent"] = 50
    document["laminates"]["sandwich"]["fibre_volume_percent"] = 55
    case = case_from_mapping(document)
    ply = case.shot.part.areas[0].laminate.layers[0]
    assert ply.permeability_along_m2 == pytest.approx(1e-10 * 0.602479339, rel=1e-8)
    assert [assumption.path for assumption in case.assumptions] == [
        "/reinforcements/biax 600/permeability/measured"
    ]
    assert "0.602" in case.assumptions[0].value
