"""The check values as rows, and what the law named in a row gives for its inputs."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np

from optimiser.physics.gel_clock import arrhenius_gel_time_s, gel_time_in_history_s

CHECK_VALUES = Path(__file__).parents[2] / "tests" / "check_values"
NOT_INPUTS = {"case", "law", "expected", "relative_tolerance", "source", "sureness"}


@dataclass(frozen=True, kw_only=True)
class CheckRow:
    """One number from outside this code."""

    family: str
    """Name of its file."""
    case: str
    law: str
    """Module and function in `optimiser/physics`, or in `optimiser/units.py`."""
    inputs: dict[str, Any]
    """Arguments of the law, SI."""
    expected: Any
    """A number, or a list of them."""
    relative_tolerance: float
    source: str
    sureness: str

    def __str__(self) -> str:
        return f"{self.family}: {self.law}, {self.case}"


def families() -> list[str]:
    return sorted(path.stem for path in CHECK_VALUES.glob("*.csv"))


def rows_of(family: str) -> Iterator[CheckRow]:
    """The rows of a file, in its order; empty cells are arguments that the law does not take."""
    with (CHECK_VALUES / f"{family}.csv").open(newline="", encoding="utf-8") as file:
        for row in csv.DictReader(file):
            yield CheckRow(
                family=family,
                case=row["case"],
                law=row["law"],
                inputs={name: _cell(text) for name, text in row.items() if name not in NOT_INPUTS and text},
                expected=_cell(row["expected"]),
                relative_tolerance=float(row["relative_tolerance"]),
                source=row["source"],
                sureness=row["sureness"],
            )


def computed(row: CheckRow) -> Any:
    """What the law gives: a number, or a list of them, a matrix row by row."""
    law = law_of(row)
    taken = {name: _as_asked(law, name, value) for name, value in row.inputs.items()}
    found = law(**taken)
    return np.ravel(found).tolist() if isinstance(found, np.ndarray) and found.ndim > 0 else found


def law_of(row: CheckRow) -> Callable[..., Any]:
    """The law itself; one whose argument is another law gets the Arrhenius gel time for it."""
    module, name = row.law.split(".")
    if name == gel_time_in_history_s.__name__:
        return _arrhenius_gel_time_in_history_s
    package = "optimiser" if module == "units" else "optimiser.physics"
    law: Callable[..., Any] = getattr(import_module(f"{package}.{module}"), name)
    return law


def _arrhenius_gel_time_in_history_s(*, history: tuple[tuple[float, float], ...], **resin: float) -> float:
    return gel_time_in_history_s(
        history, lambda temperature_k: arrhenius_gel_time_s(**resin, temperature_k=temperature_k)
    )


def _as_asked(law: Callable[..., Any], name: str, value: Any) -> Any:
    """A list as an array where the law asks for one."""
    asks = isinstance(value, list) and name in law.__annotations__
    return np.array(value, dtype=np.float64) if asks and "FloatArray" in law.__annotations__[name] else value


def _cell(text: str) -> Any:
    """A number or a list where the cell holds one, else the word itself."""
    try:
        return json.loads(text)
    except json.JSONDecodeError:
        return text
