"""Texts of more values than are read: refused by a count of marks, before any value takes time or memory."""

from __future__ import annotations

import pytest

from optimiser.case import read_yaml
from optimiser.case.plain_data import MOST_KEYS, MOST_VALUES
from optimiser.case.read_text import read_data
from optimiser.errors import InputError

TEXTS = {
    "JSON numbers": b"[" + b"1," * (MOST_VALUES + 1) + b"1]",
    "JSON mappings": b"[" + b"{}," * (MOST_VALUES // 2 + 1) + b"1]",
    "YAML list": b"- 1\n" * (MOST_VALUES + 1),
    "YAML flow": b"a: [" + b"1," * (MOST_VALUES + 1) + b"1]",
    "YAML mappings": b"- {a: 1}\n" * (MOST_VALUES // 2 + 1),
}


@pytest.mark.parametrize("text", TEXTS.values(), ids=TEXTS.keys())
def test_too_many_values_are_counted_before_they_are_read(text: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither parser is asked."""
    monkeypatch.delattr("optimiser.case.read_json.json.loads")
    monkeypatch.setattr(read_yaml, "_LOADER", None)
    with pytest.raises(InputError) as caught:
        read_data(text)
    (fault,) = caught.value.faults
    assert (fault.path, fault.found) == ("", f"more than {MOST_VALUES} values")


@pytest.mark.parametrize("written", ['"k%d":1,', '"k":1,'])
def test_a_mapping_of_more_keys_than_anybody_writes_is_refused(written: str) -> None:
    """Different keys or the same one; a mapping just below the limit is read."""
    lines = [written % number if "%" in written else written for number in range(MOST_KEYS)]
    with pytest.raises(InputError) as caught:
        read_data(("{" + "".join(lines) + '"last":1}').encode())
    assert caught.value.faults[0].found == f"a mapping with {MOST_KEYS + 1} keys"
    assert read_data(("{" + "".join(f'"k{number}":1,' for number in range(MOST_KEYS - 1)) + '"last":1}').encode())
