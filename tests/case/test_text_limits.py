"""What a text may be, and how quickly a hostile one is refused."""

from __future__ import annotations

import json
import time
from pathlib import Path

import pytest

from cases import demo_case_path
from optimiser.case.plain_data import refuse_odd_values
from optimiser.case.read_case import case_from_mapping
from optimiser.case.read_text import read_data
from optimiser.errors import InputError

QUICK_S = 10.0
"""Hostile texts are refused in well under a second of processor time here; a slow machine is allowed more."""

HOSTILE = {
    "fifty megabytes of nesting": b"[" * 50_000_000,
    "nesting in JSON": b'{"a":' * 1_500_000,
    "nesting in YAML flow": b"a: " + b"[" * 9_000_000,
    "nesting in YAML blocks": b"- " * 4_900_000,
    "a string without an end": b'{"' + b'\\"' * 4_900_000,
    "endless digits": b"a: " + b"9" * 5_000_000,
    "endless digits in JSON": b'{"a": ' + b"9" * 5_000_000 + b"}",
    "aliases that multiply": b"a: &a [x,x,x,x]\nb: &b [*a,*a,*a,*a]\nc: [*b,*b,*b,*b]",
    "a NUL byte": b"name: a\0b",
    "bytes that are no UTF-8": b"name: \xff\xfe",
    "nothing": b"",
}


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_text_is_refused_quickly(name: str) -> None:
    """Neither memory nor time nor the stack is given to a text that cannot be a case."""
    began = time.process_time()
    with pytest.raises(InputError):
        read_data(HOSTILE[name])
    assert time.process_time() - began < QUICK_S


def test_a_list_of_nothing_but_mistakes_is_refused_quickly() -> None:
    """Hundreds of thousands of bad corners give a readable number of faults, not all of them."""
    document = read_data(demo_case_path("flat_panel"))
    assert isinstance(document, dict)
    document["sheet"] = {"surface": {"vertices_mm": [["x", "y", "z"]] * 150_000, "triangles": [[0, 1, 2]]}}
    began = time.process_time()
    with pytest.raises(InputError) as caught:
        case_from_mapping(document)
    assert len(caught.value.faults) <= 200
    assert time.process_time() - began < 2 * QUICK_S


def test_more_values_than_any_case_has_are_refused() -> None:
    """A flat list of millions is within the size limit but not within the limit of values."""
    with pytest.raises(InputError, match="more than"):
        read_data(b"[" + b"1," * 1_200_000 + b"1]")


def test_plain_scalars_follow_the_core_schema_of_yaml_1_2() -> None:
    """YAML 1.2.2, section 10.3.2: no sexagesimal, no 'yes', no octal by a leading zero; dates are text."""
    text = b"[no, on, 12:30, 010, 1_000, 2024-01-05, 0x1F, ~, true, +1, -.5, 1e3, '1', 1.0]"
    assert read_data(b"a: " + text) == {
        "a": [
            *("no", "on", "12:30", 10, "1_000", "2024-01-05", "0x1F"),
            *(None, True, 1, -0.5, 1000.0, "1", 1.0),
        ]
    }


def test_keys_are_text_as_it_is_written() -> None:
    """A tap named 01 or no keeps its name."""
    assert read_data(b"01: a\nno: b\n1.0: c\ntrue: d") == {"01": "a", "no": "b", "1.0": "c", "true": "d"}


def test_json_and_yaml_say_the_same() -> None:
    """The flat panel written out as JSON is the same data as its YAML."""
    data = read_data(demo_case_path("flat_panel"))
    assert read_data(json.dumps(data).encode()) == data
    assert read_data(("\ufeff" + json.dumps(data)).encode()) == data


def test_a_file_that_cannot_be_read_is_a_fault(tmp_path: Path) -> None:
    """A missing file, a folder and an impossible name are told like any other fault."""
    for path in (tmp_path / "none.yaml", tmp_path, Path("a\0b")):
        with pytest.raises(InputError, match="a file that can be read"):
            read_data(path)


def test_data_that_json_cannot_say_is_refused_by_place() -> None:
    """Plain data handed over by a program is held to the same rules as a text."""
    with pytest.raises(InputError) as caught:
        refuse_odd_values({"a": [1, {2: 3}], "b": {"c/d": object()}, "e": float("nan"), "f": 10**400})
    assert [fault.path for fault in caught.value.faults] == ["/a/1", "/b/c~1d", "/e", "/f"]


def test_data_that_holds_itself_is_refused() -> None:
    """A loop in memory is nesting without end."""
    loop: list[object] = []
    loop.append(loop)
    with pytest.raises(InputError, match="nesting"):
        refuse_odd_values(loop)
