"""Keys that no encoding can write: named as a fault of their mapping, never part of a pointer."""

from __future__ import annotations

import pytest

from optimiser.case.plain_data import DoubledKeys, refuse_odd_values
from optimiser.errors import InputError

TOO_LARGE = 1e300


@pytest.mark.parametrize("key", ["\ud800", "a\0b", "\udfff~/"])
@pytest.mark.parametrize("inside", [[TOO_LARGE], {"b": TOO_LARGE}, TOO_LARGE, DoubledKeys([("c", 1), ("c", 2)])])
def test_what_stands_under_a_broken_key_is_not_pointed_at(key: str, inside: object) -> None:
    """One fault, at the mapping; its text can be encoded."""
    with pytest.raises(InputError) as caught:
        refuse_odd_values({"change": {key: inside}})
    (fault,) = caught.value.faults
    assert fault.path == "/change"
    assert str(fault).encode("utf-8")


def test_a_broken_key_that_stands_twice_is_one_fault() -> None:
    """It could not be named in a pointer of its own."""
    with pytest.raises(InputError) as caught:
        refuse_odd_values(DoubledKeys([("\ud800", 1), ("\ud800", 2)]))
    assert [fault.path for fault in caught.value.faults] == [""]
