"""Do all of it and print what was seen: `python -m benchmarks.durability [--share 0.05] [--only WORD]`.

With TAPCALL_TEST_DATABASE_URL, as `.ci/postgres` prints one, on PostgreSQL too.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

from benchmarks.durability.checks import CHECKS
from benchmarks.durability.finding import Check, Finding
from benchmarks.durability.place import engines, new_place
from benchmarks.machine import machine
from benchmarks.page import table

_SEED = 5
_PAGE = """# What it bears

Written by `python -m benchmarks.durability`, share {share:g} of a whole run, in {minutes:.0f} minutes. Each line is
one kind of harm, done over and over while work goes on. After it, of every store: no accepted job is lost, none is
stuck, each has one end and at most one result, no plan is there twice, and the file is sound (SQLite's
integrity_check and foreign_key_check; on a server every row is read). *Wrong* counts what broke these rules.

{machine}

{table}
"""


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m benchmarks.durability")
    parser.add_argument("--share", type=float, default=1.0, help="of the number of times in a whole run")
    parser.add_argument("--only", default="", help="checks whose description has this word")
    parser.add_argument("--store", choices=engines(), help="on this one alone")
    asked = parser.parse_args()
    began_s, on = time.monotonic(), machine()
    rows, wrong = [], 0
    for check, engine in _wanted(asked.only, asked.store):
        found, took_s = _done(check, engine, max(1, round(check.times * asked.share)))
        rows.append((check.what, engine, found.times, found.seen, f"{took_s:.0f}", len(found.wrong)))
        wrong += len(found.wrong)
        print(*rows[-1], *found.wrong, sep="; ", file=sys.stderr, flush=True)
    heads = ("what was done", "store", "times", "seen", "seconds", "wrong")
    minutes = (time.monotonic() - began_s) / 60
    print(_PAGE.format(share=asked.share, minutes=minutes, machine=on, table=table(heads, rows)), end="")
    sys.exit(wrong > 0)


def _wanted(word: str, store: str | None) -> Iterator[tuple[Check, str]]:
    for check in CHECKS:
        for engine in engines():
            if word in check.what and engine in check.engines and store in (None, engine):
                yield check, engine


def _done(check: Check, engine: str, times: int) -> tuple[Finding, float]:
    with TemporaryDirectory() as folder, new_place(engine, Path(folder) / "store") as place:
        began_s = time.monotonic()
        found = check.do(place, times, Random(_SEED))
        return found, time.monotonic() - began_s


if __name__ == "__main__":
    main()
