"""Every public function of `optimiser/physics` says its own equation, unit, range and source, and has a check value."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from benchmarks.checks.rows import families, rows_of

PHYSICS = Path(__file__).parents[2] / "optimiser" / "physics"
FEWEST_LAWS = 95
FEWEST_SYMBOLS = 3
"""An equation names so many quantities; 'B = 0' and 'c = 57' are values."""

EQUATION = re.compile(r"[^.;:,=]+ = (?![\d.e-]+ (?:kg|J|Pa|m|s|K)\b)[^;:,=]+")
"""Both sides; what is a number with its unit is a constant."""
SYMBOL = re.compile(r"\b[A-Za-z]\w*")
UNIT = re.compile(
    r"(?<![\w/])(?:1/|J/|kg/|mol/|Pa |m3/)?(?:s|m|m2|m3|m4|Pa|K|kg|rad|mol)\b|degrees C"
    r"|\bpure number|\bfraction|\b[Ss]hare|\bown unit\b"
)
ELSEWHERE = re.compile(r"\bof (?:the|this) file\b|\bas for\b|\bhead of\b|\bthat of `|\bas for `")
"""Words that send the reader away instead of saying it."""


def law_docstrings() -> dict[str, str]:
    """By module and function, as one line."""
    found = {}
    for path in sorted(PHYSICS.glob("*.py")):
        for node in ast.parse(path.read_text("utf-8")).body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                found[f"{path.stem}.{node.name}"] = " ".join((ast.get_docstring(node) or "").split())
    return found


def missing(docstring: str) -> list[str]:
    """What a law does not say itself."""
    ruled, _, source = docstring.partition(" Source: ")
    told, _, valid = ruled.partition(" Range: ")
    formulas = [each for each in EQUATION.findall(told) if len(SYMBOL.findall(each)) >= FEWEST_SYMBOLS]
    return [
        what
        for what, there in (
            ("equation", bool(formulas)),
            ("unit", bool(UNIT.search(told))),
            ("range", bool(valid) and not ELSEWHERE.search(valid)),
            ("source", bool(source) and not ELSEWHERE.search(source)),
        )
        if not there
    ]


LAWS = law_docstrings()


def test_all_laws_are_looked_at() -> None:
    """The tests below would say nothing about an empty list."""
    assert len(LAWS) >= FEWEST_LAWS


@pytest.mark.parametrize("law", LAWS)
def test_a_law_says_its_equation_unit_range_and_source(law: str) -> None:
    """In its own docstring, in this order; other laws may be named, but not instead."""
    assert missing(LAWS[law]) == []


@pytest.mark.parametrize(
    ("docstring", "lacks"),
    [
        ("Time, s: t = phi mu L^2 / (2 K dP). Range: all above 0. Source: Darcy's law.", []),
        ("Time, s: phi mu L^2 / (2 K dP). Range: all above 0. Source: Darcy's law.", ["equation"]),
        ("Time: t = a b / c. Range: all above 0. Source: Darcy's law.", ["unit"]),
        ("Time, s: t = a b / c. Range: that of the file. Source: Darcy's law.", ["range"]),
        ("Time, s: t = a b / c. Range: all above 0. Source: as for `linear_fill_time_s`.", ["source"]),
        ("Time, s: t = a b / c. Range: all above 0.", ["source"]),
        ("Time, s. Range: t = a b / c or more. Source: derived.", ["equation"]),
        ("Share, c = 57, B = 0, R = 8.3 J/(mol K). Range: any. Source: derived.", ["equation"]),
        ("", ["equation", "unit", "range", "source"]),
    ],
)
def test_the_look_sees_what_is_missing(docstring: str, lacks: list[str]) -> None:
    """Docstrings made up to fail in one way each."""
    assert missing(docstring) == lacks


def test_every_law_has_a_check_value() -> None:
    """A row of `tests/check_values` for each of them."""
    held = {row.law for family in families() for row in rows_of(family)}
    assert [law for law in LAWS if law not in held] == []
