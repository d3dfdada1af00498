"""`tapcall compare` as a shell script meets it: text, JSON, exit codes, files that are no plans."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from optimiser.comparison.comparison_document import Comparison

Tapcall = Callable[..., Any]
GOLDEN = Path(__file__).parents[1] / "golden" / "documents"
PLAN = GOLDEN / "plan_1.json"


@pytest.fixture
def colder(tmp_path: Path) -> Path:
    """The plan with another batch and a wet-out a minute later."""
    data = json.loads(PLAN.read_bytes())
    data["conditions"]["batch"] = "B-77"
    data["wet_out_s"] += 60
    path = tmp_path / "colder.json"
    path.write_text(json.dumps(data))
    return path


def test_differences_are_told_and_the_exit_is_0(tapcall: Tapcall, colder: Path) -> None:
    """Both plans are verified; what differs stands there, what does not is said not to."""
    ended = tapcall("compare", PLAN, colder)
    assert ended.returncode == 0, ended.stderr
    assert "-> B-77" in ended.stdout
    assert "wet-out: 9.8 -> 10.8 min (+1)" in ended.stdout
    assert "Steps: no difference." in ended.stdout


def test_json_is_the_comparison(tapcall: Tapcall, colder: Path) -> None:
    """stdout is the document and nothing else."""
    ended = tapcall("compare", PLAN, colder, "--json")
    assert ended.returncode == 0, ended.stderr
    found = Comparison.model_validate_json(ended.stdout)
    assert [one.what for one in found.conditions] == ["batch"]


def test_a_plan_that_must_not_be_used_ends_with_3(tapcall: Tapcall, tmp_path: Path) -> None:
    """As a check of it would; the text says DO NOT INFUSE."""
    refused = tmp_path / "refused.json"
    refused.write_text(json.dumps({**json.loads(PLAN.read_bytes()), "verdict": "not_admissible"}))
    ended = tapcall("compare", PLAN, refused)
    assert ended.returncode == 3, ended.stderr
    assert "DO NOT INFUSE" in ended.stdout


@pytest.mark.parametrize("other", [GOLDEN / "case_1.yaml", GOLDEN / "nothing.json"])
def test_what_is_no_plan_ends_with_2(tapcall: Tapcall, other: Path) -> None:
    """One line on stderr names the file; nothing on stdout."""
    ended = tapcall("compare", PLAN, other)
    assert ended.returncode == 2
    assert ended.stdout == ""
    assert len(ended.stderr.strip().splitlines()) == 1
    assert ended.stderr.startswith(str(other))
