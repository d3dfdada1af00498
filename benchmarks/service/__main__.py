"""All figures of the service as one page: `python -m benchmarks.service > benchmarks/SERVICE_RESULTS.md`.

The full store takes ten minutes to fill and 8 GB; with --full-store it is kept for the next time.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from tempfile import TemporaryDirectory

from benchmarks.machine import load, machine
from benchmarks.service.figures import FIGURES
from benchmarks.service.place import Place

_NUMBERS = {
    "layouts": 100_000,
    "jobs": 1_000_000,
    "plans": 20_000,
    "reads": 40_000,
    "reads-while-planning": 6_000,
    "submissions": 12_000,
    "starts": 5,
    "steady-reads": 1_000_000,
    "steady-sheets": 2_000,
    "looked-up": 10_000,
    "played": 1_000,
}
_PAGE = """# What the service does, and how fast

Written by `python -m benchmarks.service`. The client runs on the same machine and takes its share of it. At a steady
rate, times count from the moment at which each request was due.

{machine}
"""


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m benchmarks.service", description=__doc__)
    for name, number in _NUMBERS.items():
        parser.add_argument(f"--{name}", type=int, default=number, help=f"{number} unless said")
    parser.add_argument("--full-store", type=Path, help="folder in which the full store is kept, or looked for")
    parser.add_argument("--only", default="", help="figures whose heading has this word")
    asked = parser.parse_args()
    print(_PAGE.format(machine=machine()))
    with TemporaryDirectory() as folder:
        place = Place(numbers=asked, folder=Path(folder), full=asked.full_store or Path(folder) / "full")
        for heading, measure in FIGURES.items():
            if asked.only in heading:
                before = load()
                print(f"## {heading}\n\n{measure(place)}\n\n{before}\n", flush=True)


if __name__ == "__main__":
    main()
