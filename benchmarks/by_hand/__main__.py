"""Rules by hand against the product's own choice: `python -m benchmarks.by_hand --write`, half an hour on two cores.

Ends with 1 where ours is worse anywhere.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from benchmarks.by_hand.contest import contests
from benchmarks.by_hand.page import page
from benchmarks.machine import machine
from cases import demo_case_names

_PAGE = Path(__file__).resolve().parents[1] / "BY_HAND.md"


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m benchmarks.by_hand", description=__doc__)
    parser.add_argument("--layouts", type=int, default=50, help="beside the demo cases; 50 unless said")
    parser.add_argument("--seed", type=int, default=1, help="of the layouts; 1 unless said")
    parser.add_argument("--write", action="store_true", help=f"write {_PAGE.name}; else the page goes to stdout")
    asked = parser.parse_args()
    on, demos, found = machine(), demo_case_names(), []
    for contest in contests(demos, asked.seed, asked.layouts):
        found.append(contest)
        print(contest.layout, *contest.violations, sep="\n  ", file=sys.stderr, flush=True)
    text = page(on, asked.seed, found[: len(demos)], found[len(demos) :])
    if asked.write:
        _PAGE.write_text(text, encoding="utf-8")
    else:
        print(text, end="")
    violations = [sentence for contest in found for sentence in contest.violations]
    if violations:
        print(f"\nOURS WAS WORSE {len(violations)} TIMES", *violations, sep="\n  ", file=sys.stderr)
    return 1 if violations else 0


if __name__ == "__main__":
    sys.exit(main())
