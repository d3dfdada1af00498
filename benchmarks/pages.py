"""What a demo's page quotes, and whether a fresh plan still says it: `python -m benchmarks.pages [DEMO ...]`.

The tests plan the demos that are soon planned; of the others they play the order that the page names. This plans them
all, and prints what is to be quoted anew.
"""

from __future__ import annotations

import math
import re
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from cases import demo_case_names, demo_case_path
from optimiser.case.plan_document import PlanDocument
from optimiser.case.proof_document import CandidateResult
from optimiser.case.read_sequence import read_sequence

MINUTES = 0.5
SHARE = 0.2
"""Numbers of a page may be off by half a minute (a metre, a litre), and small ones by no more than a fifth."""
AS_PLANNED = "as_planned.yaml"
"""Beside a demo that takes minutes to plan: the order that its page names, to be played without planning."""

_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_ROW = re.compile(r"^\| (\w.+?)(?: \((\w+)\))? \| ([\d.]+) \| ([\d.]+) \| (\w+) network \|$", flags=re.MULTILINE)


def page_of(name: str) -> str:
    return demo_case_path(name).with_name("README.md").read_text(encoding="utf-8")


def differs(printed: str, fresh: str) -> bool:
    words = _NUMBER.sub("#", printed) == _NUMBER.sub("#", fresh)
    pairs = zip(_NUMBER.findall(printed), _NUMBER.findall(fresh), strict=False)
    return not words or any(abs(float(a) - float(b)) > min(MINUTES, SHARE * float(b)) for a, b in pairs)


def what_it_says(page: str) -> list[str]:
    """Lines of the first block without a language: what the command line prints."""
    _, _, after = page.partition("\n```\n")
    return after.partition("\n```\n")[0].split("\n")


def without_warnings(said: str) -> list[str]:
    """Lines of the command line that a page quotes."""
    return [line for line in said.rstrip("\n").split("\n") if not line.startswith(("Warning: ", "Wrote "))]


def not_as_quoted(page: str, said: str) -> list[str]:
    """Lines to be quoted instead, all of them where one is missing or too many; none where the page is right."""
    printed, fresh = what_it_says(page), without_warnings(said)
    if len(printed) != len(fresh):
        return fresh
    return [new for old, new in zip(printed, fresh, strict=True) if differs(old, new)]


def orders_that_differ(page: str, plan: PlanDocument) -> list[str]:
    """Rows of the page's table that are not as the plan has them, and a mark that is not on the row of its choice."""
    candidates = {one.name: one for one in plan.candidates}
    out = []
    for name, mark, minutes, litres, network in _ROW.findall(page):
        one = candidates.get(name)
        if one is None or not _as_listed(one, float(minutes), float(litres), network):
            out.append(f"{name}: {minutes} min, {litres} litres, {network} network, and the plan has {one!r}")
        elif mark and one.wet_out_s != plan.wet_out_s:
            out.append(f"{name} is marked ({mark}), and the plan's is another")
    return out


def rows(page: str) -> list[tuple[str, str]]:
    """Orders of the page's table, each with its mark, empty for most."""
    return [(name, mark) for name, mark, *_ in _ROW.findall(page)]


def _as_listed(one: CandidateResult, minutes: float, litres: float, network: str) -> bool:
    return (
        abs((one.wet_out_s or math.inf) / 60 - minutes) <= MINUTES
        and abs(one.locked_litres - litres) <= SHARE * litres
        and ("coarse" in one.remark) == (network == "coarse")
    )


def main() -> None:
    named = sys.argv[1:] or demo_case_names()
    off = [line for name in named for line in _looked_at(name)]
    sys.exit(1 if off else 0)


def _looked_at(name: str) -> Iterator[str]:
    page = page_of(name)
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "api.cli.main", "plan", name, "--out", folder]
        said = subprocess.run(command, stdout=subprocess.PIPE, text=True, check=False).stdout
        written = (Path(folder) / "plan.json").read_bytes()
        plan = PlanDocument.model_validate_json(written)
        kept = demo_case_path(name).with_name(AS_PLANNED)
        found = [*not_as_quoted(page, said), *orders_that_differ(page, plan)]
        if kept.exists() and read_sequence(kept) != read_sequence(Path(folder) / "plan.json"):
            found.append(f"{kept.name} is another order than the plan's")
    print(f"{name}: {'to be quoted anew' if found else 'as quoted'}", flush=True)
    for line in found:
        print(f"  {line}", flush=True)
        yield line


if __name__ == "__main__":
    main()
