"""Whatever is done to a document, it is either read or refused with faults: no other error gets out."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cases import demo_case_path
from optimiser.case.read_case import case_from_mapping, read_case
from optimiser.case.read_sequence import sequence_from_mapping
from optimiser.case.read_text import read_data
from optimiser.errors import Fault, InputError

FLAT_PANEL: Any = read_data(demo_case_path("flat_panel"))
SCALARS = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(max_size=8),
    st.sampled_from(
        [0, -1, 1e-9, 0.5, 1e6, "1", "V-NEAR", "sandwich", "biax 600", "start", "/", "~", "\u2028"]
    ),
)
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.one_of(
        st.lists(inner, max_size=4),
        st.dictionaries(
            st.one_of(st.sampled_from(sorted(FLAT_PANEL)), st.text(max_size=5)), inner, max_size=4
        ),
    ),
    max_leaves=8,
)
KEYS_OF_THE_FORMAT = [
    "ply",
    "core",
    "flow_mesh",
    "kind",
    "law",
    "measured",
    "modelled",
    "surface",
    "[key]",
    "⟨ply⟩",
]


def places(node: Any, way: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """The way to every value below the document."""
    if isinstance(node, dict):
        below = list(node.items())
    elif isinstance(node, list):
        below = list(enumerate(node))
    else:
        return []
    return [found for key, child in below for found in ((*way, key), *places(child, (*way, key)))]


PLACES = places(FLAT_PANEL)
MUTATIONS = st.lists(
    st.tuples(
        st.sampled_from(PLACES),
        st.sampled_from(["replace", "remove", "double", "add"]),
        VALUES,
        st.sampled_from(KEYS_OF_THE_FORMAT),
    ),
    min_size=1,
    max_size=4,
)


def mutated(mutations: list[tuple[tuple[str | int, ...], str, Any, str]]) -> Any:
    document = copy.deepcopy(FLAT_PANEL)
    for way, deed, value, new_key in mutations:
        parent: Any = document
        try:
            for key in way[:-1]:
                parent = parent[key]
            old = parent[way[-1]]
        except (KeyError, IndexError, TypeError):
            continue
        if type(parent) not in (dict, list):
            continue
        if deed == "replace":
            parent[way[-1]] = value
        elif deed == "remove":
            del parent[way[-1]]
        elif isinstance(parent, list):
            parent.append(copy.deepcopy(old) if deed == "double" else value)
        else:
            parent[new_key] = copy.deepcopy(old) if deed == "double" else value
    return document


def faults_of(read: Callable[[], object]) -> tuple[Fault, ...]:
    """None for a document that is read, else at least one; any other error gets out and fails the test."""
    try:
        read()
    except InputError as error:
        return error.faults or (Fault(path="no fault", found="", expected=""),)
    return ()


@given(MUTATIONS)
@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_a_mutated_document_is_read_or_refused_with_faults(
    mutations: list[tuple[tuple[str | int, ...], str, Any, str]],
) -> None:
    """Each fault has a pointer that is empty or begins with a slash, and words."""
    for fault in faults_of(lambda: case_from_mapping(mutated(mutations))):
        assert fault.path == "" or fault.path.startswith("/")
        assert fault.found
        assert fault.expected
        assert str(fault).encode("utf-8")


@given(VALUES)
@settings(max_examples=150, deadline=None)
def test_any_json_value_is_refused_with_faults(value: Any) -> None:
    """No JSON value that small is a case or a sequence."""
    for read in (case_from_mapping, sequence_from_mapping):
        with pytest.raises(InputError) as caught:
            read(value)
        assert caught.value.faults


@given(
    st.one_of(
        st.binary(max_size=200), st.text(max_size=200).map(lambda text: text.encode("utf-8", "surrogatepass"))
    )
)
@settings(max_examples=200, deadline=None)
def test_any_bytes_are_refused_with_faults(raw: bytes) -> None:
    """Nor is any short text."""
    with pytest.raises(InputError) as caught:
        read_case(raw)
    assert caught.value.faults


@given(st.data())
@settings(max_examples=100, deadline=None)
def test_damaged_json_text_is_read_or_refused(data: st.DataObject) -> None:
    """A byte lost, doubled or changed somewhere in the text never brings the reader down."""
    raw = bytearray(json.dumps(FLAT_PANEL).encode())
    at = data.draw(st.integers(0, len(raw) - 1))
    raw[at : at + data.draw(st.integers(0, 3))] = data.draw(st.binary(max_size=3))
    assert all(fault.found for fault in faults_of(lambda: read_case(bytes(raw))))
