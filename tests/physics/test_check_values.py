"""Every law against the published or derived numbers in tests/check_values (sources in its SOURCES.md).

`abs=0` everywhere: pytest's own absolute tolerance of 1e-12 would let any permeability in m2 pass.
"""

from __future__ import annotations

import re

import pytest

from benchmarks.checks.rows import CHECK_VALUES, CheckRow, computed, families, rows_of


@pytest.mark.check_values
def test_law_gives_the_value_of_its_source(row: CheckRow) -> None:
    """The law named in the row, called with the row's inputs, gives the row's value to its printed digits."""
    assert computed(row) == pytest.approx(row.expected, rel=row.relative_tolerance, abs=0)


def test_every_row_has_a_source_and_says_how_sure_it_is() -> None:
    """A number without them proves nothing; the words of sureness are those of SOURCES.md."""
    words = ("derived", "from memory", "seen in text", "common practice, no source")
    rows = [row for family in families() for row in rows_of(family)]
    unsure = [str(row) for row in rows if not row.source or not any(word in row.sureness for word in words)]
    assert unsure == []


def test_no_value_is_counted_twice() -> None:
    """Two rows of one law with the same inputs and the same source would only swell the count."""
    rows = [row for family in families() for row in rows_of(family)]
    told = [(row.law, str(sorted(row.inputs.items())), row.source) for row in rows]
    twice = [str(row) for row, key in zip(rows, told, strict=True) if told.count(key) > 1]
    assert twice == []


def test_every_family_has_its_source_written_down() -> None:
    """SOURCES.md says of each file where it comes from, and of no other."""
    written_down = (CHECK_VALUES / "SOURCES.md").read_text(encoding="utf-8")
    named = re.findall(r"^\| `(\w+)\.csv` \|", written_down, re.MULTILINE)
    assert sorted(named) == families()
