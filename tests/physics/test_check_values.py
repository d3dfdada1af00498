"""Every law against the published or derived numbers in tests/check_values (sources in its SOURCES.md).

`abs=0` everywhere: pytest's own absolute tolerance of 1e-12 would let any permeability in m2 pass.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

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
    """Two rows of one law that expect the same of the same inputs would only swell the count, whatever their sources.

    Another number for the same inputs, as of a printed table, is another witness.
    """
    rows = [row for family in families() for row in rows_of(family)]
    told = [(row.law, nine_digits(sorted(row.inputs.items())), nine_digits(row.expected)) for row in rows]
    twice = [str(row) for row, key in zip(rows, told, strict=True) if told.count(key) > 1]
    assert twice == []


def test_no_row_expects_what_it_was_given() -> None:
    """A row whose every number stands among its inputs is read back, not worked out."""
    rows = [row for family in families() for row in rows_of(family)]
    given = [str(row) for row in rows if set(numbers(row.expected)) <= set(numbers(list(row.inputs.values())))]
    assert given == []


def nine_digits(value: Any) -> str:
    """Inputs rounded on their way into two files are the same inputs."""
    return re.sub(r"\d+\.?\d*(?:e[-+]?\d+)?", lambda found: f"{float(found[0]):.8e}", str(value))


def numbers(value: Any) -> Iterator[float]:
    """Those in lists of lists too."""
    if isinstance(value, list | tuple):
        for each in value:
            yield from numbers(each)
    elif isinstance(value, int | float):
        yield float(f"{value:.8e}")


def test_every_family_has_its_source_written_down() -> None:
    """SOURCES.md says of each file where it comes from, and of no other."""
    written_down = (CHECK_VALUES / "SOURCES.md").read_text(encoding="utf-8")
    named = re.findall(r"^\| `(\w+)\.csv` \|", written_down, re.MULTILINE)
    assert sorted(named) == families()
