"""Whole numbers that a program writes as 2.0, and the least share of a line: schema and reading agree."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
import yaml

from optimiser.case.case_document import CaseDocument
from optimiser.case.read_case import read_case
from optimiser.errors import InputError

TINY = Path(__file__).parents[1] / "api" / "tiny_case.yaml"
WRITE = {"YAML": yaml.safe_dump, "JSON": json.dumps}


def tiny(hands: Any) -> dict[str, Any]:
    data: dict[str, Any] = yaml.safe_load(TINY.read_text("utf-8"))
    return data | {"crew": {"hands": hands, "seconds_per_action": 15}}


@pytest.mark.parametrize("kind", WRITE)
def test_two_point_nought_is_two(kind: str) -> None:
    """JSON Schema, Validation 2020-12, 6.1.1: any number with a zero fractional part is an integer. The same case."""
    written = [read_case(WRITE[kind](tiny(hands)).encode()) for hands in (2.0, 2)]
    assert type(written[0].document.crew.hands) is int
    assert written[0].digest == written[1].digest


@pytest.mark.parametrize("kind", WRITE)
@pytest.mark.parametrize(("hands", "found"), [(2.5, "2.5"), (21.0, "21"), (True, "true"), ("2", "'2'")])
def test_what_is_not_whole_or_out_of_range_is_refused_in_one_way(kind: str, hands: object, found: str) -> None:
    """With the range, in both formats."""
    with pytest.raises(InputError) as caught:
        read_case(WRITE[kind](tiny(hands)).encode())
    (fault,) = caught.value.faults
    assert (fault.path, fault.found) == ("/crew/hands", found)
    assert fault.expected.startswith("a whole number from 1 to 20")


def test_the_schema_knows_what_the_reading_refuses() -> None:
    """The least share of a line to wait for, and the ranges of whole numbers."""
    shapes = CaseDocument.model_json_schema()["$defs"]
    assert shapes["OnReach"]["properties"]["share_percent"]["minimum"] == 1
    assert shapes["OnWetting"]["properties"]["share_percent"]["minimum"] == 1
    hands = shapes["CrewDocument"]["properties"]["hands"]
    assert (hands["type"], hands["minimum"], hands["maximum"]) == ("integer", 1, 20)
