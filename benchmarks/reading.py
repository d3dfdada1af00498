"""Reading a case from the bytes a client sends to a case that may be planned, on one core.

Run as `python -m benchmarks.reading`.
"""

from __future__ import annotations

import json
import time
from collections.abc import Iterator

from benchmarks.machine import machine
from benchmarks.page import table
from cases import demo_case_path
from optimiser.case.read_case import read_case
from optimiser.case.read_text import read_data

_CASES = ("hull_side", "deck_cutout", "flat_panel")
_TIMES = 50
"""Each is read this often; the quickest is told, as the rest is what else the machine did."""
_HEADS = ("case", "written as", "kB", "ms per read", "reads per second")


def main() -> None:
    print(machine())
    print()
    print(reads())


def reads() -> str:
    """One row for each demonstration case in each of the two ways to write it."""
    return table(_HEADS, (row for name in _CASES for row in _rows(name)))


def _rows(name: str) -> Iterator[tuple[object, ...]]:
    yaml = demo_case_path(name).read_bytes()
    for written_as, text in (("JSON", json.dumps(read_data(yaml)).encode()), ("YAML", yaml)):
        best_s = min(_read_s(text) for _ in range(_TIMES))
        yield name, written_as, f"{len(text) / 1000:.1f}", f"{1000 * best_s:.1f}", f"{1 / best_s:.0f}"


def _read_s(text: bytes) -> float:
    began = time.perf_counter()
    read_case(text)
    return time.perf_counter() - began


if __name__ == "__main__":
    main()
