"""Write docs/CHECKS.md and its drawings in docs/checks: `python -m benchmarks.checks`."""

from __future__ import annotations

from pathlib import Path

from benchmarks.checks.page import page
from benchmarks.checks.plot import drawing
from benchmarks.checks.rows import rows_of
from benchmarks.checks.sweeps import SWEEPS

DOCS = Path(__file__).parents[2] / "docs"


def main() -> None:
    (DOCS / "checks").mkdir(exist_ok=True)
    (DOCS / "CHECKS.md").write_text(page(), encoding="utf-8")
    for family, sweep in SWEEPS.items():
        (DOCS / "checks" / f"{family}.svg").write_text(drawing(sweep, list(rows_of(family))), encoding="utf-8")


if __name__ == "__main__":
    main()
