"""docs/CHECKS.md and its drawings are what the laws give today."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from benchmarks.checks.page import page
from benchmarks.checks.plot import drawing
from benchmarks.checks.rows import families, rows_of
from benchmarks.checks.sweeps import SWEEPS

DOCS = Path(__file__).parents[2] / "docs"
LEAST_ROWS = 120
NUMBER = re.compile(r"-?\d+\.?\d*(?:e-?\d+)?")
NAME_OF_A_PIECE = re.compile(r"\b[mp][0-9a-f]{10}\b")
"""Made by the drawing library out of all digits of a piece."""
HAIR_PT = 0.01
"""Coordinates may differ by rounding of another processor; a hundredth of a point is seen by nobody."""


def test_the_page_is_what_the_laws_give() -> None:
    """Word for word: after a change of law or check value, `python -m benchmarks.checks` writes it anew."""
    assert (DOCS / "CHECKS.md").read_text(encoding="utf-8") == page()


def test_enough_numbers_are_held_against_the_laws() -> None:
    """At least 120 rows, and the page shows every one of them."""
    rows = [row for family in families() for row in rows_of(family)]
    assert len(rows) >= LEAST_ROWS
    text = (DOCS / "CHECKS.md").read_text(encoding="utf-8")
    shown = re.findall(r"^\| .* \| `\w+\.\w+` \| .* \|$", text, re.MULTILINE)
    assert len(shown) == len(rows)


def test_every_family_has_its_drawing_and_no_other_lies_there() -> None:
    """One SVG for each file of check values."""
    assert sorted(SWEEPS) == families()
    assert sorted(path.name for path in (DOCS / "checks").iterdir()) == [f"{family}.svg" for family in families()]


@pytest.mark.parametrize("family", families())
def test_the_drawing_is_what_the_law_gives(family: str) -> None:
    """The same strokes, marks and words, each at its place; it stays black on white and small."""
    kept = (DOCS / "checks" / f"{family}.svg").read_text(encoding="utf-8")
    drawn = drawing(SWEEPS[family], list(rows_of(family)))
    plain, anew = (NUMBER.sub("", NAME_OF_A_PIECE.sub("", text)) for text in (kept, drawn))
    assert plain == anew
    places = [[float(number) for number in NUMBER.findall(NAME_OF_A_PIECE.sub("", text))] for text in (kept, drawn)]
    assert places[0] == pytest.approx(places[1], rel=0, abs=HAIR_PT)
    assert set(re.findall(r"#[0-9a-f]{6}\b", kept)) <= {"#000000", "#ffffff"}
    assert len(kept) < 40_000


@pytest.mark.parametrize("family", families())
def test_the_drawing_shows_a_check_value_on_every_line(family: str) -> None:
    """A line that passes through no number of the family would be mere decoration."""
    sweep = SWEEPS[family]
    started = {row.case for row in rows_of(family) if row.law == sweep.law}
    assert set(sweep.cases) <= started
