"""Equal inputs give equal plans, to the byte, whoever computes them and on however many cores."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from optimiser.case.write_plan import plan_document
from optimiser.filling import many_runs
from optimiser.plan.plan_shot import plan_shot
from optimiser.plan.result import Progress

PANEL = {"lines_y_mm": (250, 650), "length_mm": 450, "rounds": 1}
PLAN = """
import json, sys
from optimiser.case.planning import plan_case
from optimiser.case.read_case import case_from_mapping
print(plan_case(case_from_mapping(json.load(sys.stdin))).model_dump_json())
"""


def planned_in_a_fresh_process(data: dict[str, Any], hash_seed: str) -> str:
    root = Path(__file__).parents[2]
    return subprocess.run(
        [sys.executable, "-c", PLAN],
        input=json.dumps(data),
        env={**os.environ, "PYTHONHASHSEED": hash_seed, "PYTHONPATH": str(root)},
        capture_output=True,
        text=True,
        check=True,
    ).stdout.strip()


def test_a_fresh_process_writes_the_same_bytes(panels: Any) -> None:
    """Another interpreter, with another order of its sets of texts."""
    assert planned_in_a_fresh_process(panels.data(**PANEL), "1") == panels.plan(**PANEL).model_dump_json()


def test_one_worker_and_two_plan_alike(panels: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """Also where worker processes are started, which this panel is too small to ask for by itself."""
    monkeypatch.setattr(many_runs, "_WORTH_CARRYING", 0)
    case = panels.case(**PANEL)
    one, two = (plan_document(case, plan_shot(case.shot, workers=workers)) for workers in (1, 2))
    assert one.model_dump_json() == two.model_dump_json()


def test_progress_rises_to_the_end(panels: Any) -> None:
    """Never back, from nothing to nearly all, with the best wet-out so far where there is one."""
    told: list[Progress] = []
    result = plan_shot(panels.case(**PANEL).shot, listen=told.append, workers=1)
    fractions = [one.fraction for one in told]
    assert fractions == sorted(fractions)
    assert fractions[0] == 0.0
    assert 0.95 <= fractions[-1] <= 1.0
    assert len(set(fractions)) > 20
    assert told[-1].best_wet_out_s == result.chosen.run.wet_out_s
    assert len({one.phase for one in told}) >= 6
