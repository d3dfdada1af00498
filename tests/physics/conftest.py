"""Hands the rows of a file in tests/check_values to each test that asks for one."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

CHECK_VALUES = Path(__file__).parent.parent / "check_values"
NOT_INPUTS = {"case", "law", "expected", "relative_tolerance", "source", "sureness"}


@dataclass(frozen=True, kw_only=True)
class CheckRow:
    family: str
    case: str
    law: str
    inputs: dict[str, Any]
    expected: Any
    relative_tolerance: float

    def __str__(self) -> str:
        return f"{self.family}: {self.law}, {self.case}"


def check_rows(path: Path) -> Iterator[CheckRow]:
    with path.open(newline="", encoding="utf-8") as file:
        for row in csv.DictReader(file):
            yield CheckRow(
                family=path.stem,
                case=row["case"],
                law=row.get("law", ""),
                inputs={name: _cell(text) for name, text in row.items() if name not in NOT_INPUTS and text},
                expected=_cell(row["expected"]),
                relative_tolerance=float(row["relative_tolerance"]),
            )


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line("markers", "check_values(*families): files of tests/check_values to read")


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    marker = metafunc.definition.get_closest_marker("check_values")
    if marker is not None:
        rows = [row for family in marker.args for row in check_rows(CHECK_VALUES / f"{family}.csv")]
        metafunc.parametrize("row", rows, ids=str)


def _cell(text: str) -> Any:
    """A number or a list where the cell holds one, else the word itself."""
    try:
        return json.loads(text)
    except json.JSONDecodeError:
        return text
