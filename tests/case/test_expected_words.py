"""What a message says would be right: of the kind of entry that the document says it is, and of no other."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from typing import Any

import pytest
import yaml

from cases import demo_case_path
from optimiser.case.plan_document import PlanDocument
from optimiser.case.read_case import case_from_mapping
from optimiser.errors import Fault, InputError

Data = dict[str, Any]


def refused(change: Callable[[Data], object]) -> Fault:
    """The one fault of the flat panel with a change."""
    data = deepcopy(yaml.safe_load(demo_case_path("flat_panel").read_text("utf-8")))
    change(data)
    with pytest.raises(InputError) as caught:
        case_from_mapping(data)
    (fault,) = caught.value.faults
    return fault


def test_a_truth_value_is_asked_for_as_true_or_false() -> None:
    """Not as 'another value'."""
    fault = refused(lambda data: data["search"].update(mistakes="yes"))
    assert (fault.path, fault.found) == ("/search/mistakes", "'yes'")
    assert fault.expected.startswith("true or false or null")


def test_an_unknown_field_of_a_supply_lists_the_fields_of_that_kind_alone() -> None:
    """The demo's is an open container; what a machine and mixes have is no help there."""
    fault = refused(lambda data: data["supply"].update(mix_kgs=20))
    assert fault.path == "/supply/mix_kgs"
    assert fault.expected == "one of kind, surface_height_mm, manifold_volume_litres, supply_hose"
    assert fault.remedy == ""


def test_a_field_of_another_kind_of_supply_is_told_from_an_unknown_one() -> None:
    """The flow cap belongs to a machine."""
    fault = refused(lambda data: data["supply"].update(flow_cap_kg_per_min=2))
    assert fault.found == "a field of another kind of entry"
    assert fault.expected == "only kind, surface_height_mm, manifold_volume_litres, supply_hose"


def test_a_misspelt_field_of_a_trigger_is_told_by_the_fields_of_that_trigger() -> None:
    """What has `reached` is told apart by that key; it was said to be like `start`."""
    steps = [
        {"action": "open", "label": "1", "when": {"start": True}},
        {"action": "open", "label": "2", "when": {"reached": "2", "share_percents": 50}},
    ]
    fault = refused(lambda data: data["rules"].update(own_sequence={"steps": steps}))
    assert fault.path == "/rules/own_sequence/steps/1/when/share_percents"
    assert fault.expected == "one of reached, share_percent, delay_s"
    assert fault.remedy == "did you mean 'share_percent'?"


def test_no_kind_at_all_is_answered_with_every_kind() -> None:
    """Then it cannot be known which was meant; and the line of meaning of one kind stands for no other."""
    fault = refused(lambda data: data.update(supply="a bucket"))
    assert fault.expected.count("a mapping with kind") == 3
    assert "The air presses" not in fault.expected


def test_fields_whose_name_ends_in_no_unit_say_it_in_words() -> None:
    """In the message for what is written by hand, in the schema for what programs read."""
    fault = refused(lambda data: data["process"]["drop_test"].update(minutes=0))
    assert fault.expected == "a number from 1 to 240 min (How long the closed bag is watched, in minutes)"
    defs = PlanDocument.model_json_schema()["$defs"]
    for field in (defs["TriggerText"]["properties"]["share"], defs["Conditions"]["properties"]["gel_fraction"]):
        assert "pure number from 0 to 1" in field["description"]


@pytest.mark.parametrize(("border_mm", "cell_mm"), [((30_010, 17_330), 5), ((4_800, 1_807), 500)])
def test_a_size_of_cells_that_is_named_as_right_is_taken(border_mm: tuple[float, float], cell_mm: float) -> None:
    """Rounded to the side that is right: at least upward, at most downward."""

    def change(data: Data, cells_mm: float) -> None:
        x_mm, y_mm = border_mm
        data["sheet"]["outlines"][0]["border_mm"] = [[0, 0], [x_mm, 0], [x_mm, y_mm], [0, y_mm]]
        data["search"].update(cell_mm=cells_mm)

    fault = refused(lambda data: change(data, cell_mm))
    assert fault.path == "/search/cell_mm"
    named_mm = float(fault.expected.split()[2])
    data = deepcopy(yaml.safe_load(demo_case_path("flat_panel").read_text("utf-8")))
    change(data, named_mm)
    case_from_mapping(data)


def test_half_of_a_group_at_the_start_is_named_by_its_members() -> None:
    """Which is there and which is not."""
    fault = refused(lambda data: data["rules"].update(start=["1"], together=[["1", "2"]]))
    assert (fault.path, fault.found) == ("/rules/together/0", "'1' in rules/start without '2'")
