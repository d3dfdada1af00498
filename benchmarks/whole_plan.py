"""A whole plan: reduce, play by hand, choose, verify, and write what the crew reads, on all cores.

Run as `python -m benchmarks.whole_plan`.
"""

from __future__ import annotations

import time
from pathlib import Path
from tempfile import TemporaryDirectory

from benchmarks.machine import machine
from benchmarks.page import table
from cases import demo_case_path
from optimiser.case.planning import plan_case
from optimiser.case.read_case import read_case
from optimiser.run_sheet.write_all import write_outputs

_CASES = ("flat_panel", "hull_side")
_HEADS = (
    *("case", "cells", "taps", "read s", "plan s", "print s", "network runs", "steps"),
    *("pressure systems", "turns", "wet-out min", "verdict"),
)


def main() -> None:
    print(machine())
    print()
    print(whole_plans())


def whole_plans() -> str:
    """One row for each case."""
    return table(_HEADS, (_row(name) for name in _CASES))


def _row(name: str) -> tuple[object, ...]:
    began = time.perf_counter()
    case = read_case(demo_case_path(name))
    read_s = time.perf_counter() - began
    began = time.perf_counter()
    plan = plan_case(case)
    plan_s = time.perf_counter() - began
    began = time.perf_counter()
    with TemporaryDirectory() as folder:
        write_outputs(plan, Path(folder))
    print_s = time.perf_counter() - began
    effort = plan.effort
    wet = "-" if plan.wet_out_s is None else f"{plan.wet_out_s / 60:.1f}"
    return (
        *(name, effort.cells, len(plan.lines), f"{read_s:.2f}", f"{plan_s:.1f}", f"{print_s:.1f}"),
        *(effort.network_runs, effort.front_steps, effort.linear_solves, len(plan.proof.rounds), wet),
        plan.verdict.value.replace("_", " "),
    )


if __name__ == "__main__":
    main()
