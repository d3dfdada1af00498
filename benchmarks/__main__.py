"""All figures as one page: `python -m benchmarks > benchmarks/RESULTS.md`."""

from __future__ import annotations

from benchmarks.machine import machine
from benchmarks.network_run import network_run
from benchmarks.reading import reads
from benchmarks.whole_plan import whole_plans

_PAGE = """# What it costs

Written by `python -m benchmarks`. Times are of one machine on one day; nothing in the tests depends on them.

{machine}

## Reading a case, one core

The quickest of fifty, from bytes to a checked case in SI units with its digest.

{reads}

## One network run, one core

The quickest of five. A step moves the front by about a sixty-fourth of the part; each takes a few factorisations of
the pressure system.

{hull_side}

{flat_panel}

## A whole plan, all cores

{plans}
"""


def main() -> None:
    print(
        _PAGE.format(
            machine=machine(),
            reads=reads(),
            hull_side=network_run("hull_side"),
            flat_panel=network_run("flat_panel"),
            plans=whole_plans(),
        ),
        end="",
    )


if __name__ == "__main__":
    main()
