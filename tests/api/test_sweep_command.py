"""`tapcall sweep` as a shell script meets it: table, files, exit codes, and ranges that cannot be."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import yaml

from optimiser.case.plan_document import PlanDocument
from optimiser.sweep.sweep_document import CellState, SweepDocument

Tapcall = Callable[..., Any]
NAMES = {"sweep.html", "sweep.csv", "sweep.svg", "sweep.png", "sweep.json"}
ORDER = """
steps:
  - {action: open, label: "1", when: {start: true}}
"""
STARVED = """
steps:
  - {action: open, label: "2", when: {start: true}}
  - {action: close, label: "2", when: {clock_s: 5}}
"""


@pytest.fixture
def order(tmp_path: Path) -> Path:
    path = tmp_path / "order.yaml"
    path.write_text(ORDER)
    return path


@pytest.fixture(scope="module")
def planned(planned_once: Any, tiny_source: bytes) -> PlanDocument:
    """The tiny case, as it stands."""
    plan: PlanDocument = planned_once.plan(yaml.safe_load(tiny_source))
    return plan


@pytest.fixture
def monday(planned: PlanDocument, tmp_path: Path) -> Path:
    path = tmp_path / "plan.json"
    path.write_text(planned.model_dump_json())
    return path


def test_a_table_on_stdout_and_files_whole(tapcall: Tapcall, tiny_path: Path, order: Path, tmp_path: Path) -> None:
    """Exit 0; a row for each temperature; the case's own setting starred; what decides; the cautions; the files."""
    ended = tapcall("sweep", tiny_path, "--plan", order, "--temperatures", "18:22:2", "--out", "out")
    assert ended.returncode == 0, ended.stderr
    lines = ended.stdout.splitlines()
    assert [line.split()[0] for line in lines[3:6]] == ["18", "20", "22"]
    assert "OK*" in lines[4]
    assert sum(line.startswith("Most margin: +") for line in lines) == 1
    assert "Inside the range entered; the data sheet decides." in ended.stdout
    assert sum(line.startswith("Caution: ") for line in lines) == 1
    assert {path.name for path in (tmp_path / "out").iterdir()} == NAMES
    assert {line.removeprefix("Wrote out/") for line in lines if line.startswith("Wrote ")} == NAMES


def test_json_alone_is_data_and_writes_no_file(tapcall: Tapcall, tiny_path: Path, order: Path, tmp_path: Path) -> None:
    """stdout is the sweep and nothing else. Without ranges: 6 K round the case's, within the data's 15 to 25."""
    before = set(tmp_path.iterdir())
    ended = tapcall("sweep", tiny_path, "--plan", order, "--json")
    assert ended.returncode == 0, ended.stderr
    found = SweepDocument.model_validate_json(ended.stdout)
    assert found.temperatures_c == [16.0, 18.0, 20.0, 22.0, 24.0]
    assert found.levels_percent == [1.5]
    assert "gel times are measured at 1.5 % alone" in found.notes[0]
    assert set(tmp_path.iterdir()) == before


def test_without_a_plan_the_case_is_planned_once_and_as_by_plan(tapcall: Tapcall, tiny_path: Path) -> None:
    """The sequence and the numbers at the case's own setting are those of `tapcall plan`."""
    plan = json.loads(tapcall("plan", tiny_path, "--json").stdout)
    found = SweepDocument.model_validate_json(tapcall("sweep", tiny_path, "--temperatures", "20", "--json").stdout)
    assert found.own.wet_out_s == plan["wet_out_s"]
    assert found.own.gel_margin_s == plan["gel_margin_s"]
    assert found.own.resin_kg == plan["resin"]["total_kg"]
    assert len(found.steps) == len(plan["steps"])
    assert found.sequence_from == "planned for the case's own setting"


def test_a_stored_plan_of_this_case_is_taken_as_it_is(tapcall: Tapcall, tiny_path: Path, monday: Path) -> None:
    """No network run where a look-up will do: at the case's own temperature with its plan.json."""
    ended = tapcall("sweep", tiny_path, "--plan", monday, "--temperatures", "20", "--json")
    assert ended.stderr == ""
    found = SweepDocument.model_validate_json(ended.stdout)
    assert (found.network_runs, found.sequence_from) == (0, "that of plan.json")


def test_a_plan_of_another_case_gives_its_sequence_alone(
    tapcall: Tapcall, planned: PlanDocument, monday: Path, tiny_case: dict[str, Any], tmp_path: Path
) -> None:
    """It is checked in this case first: its numbers are not those of the file."""
    tiny_case["process"]["vacuum_mbar_abs"] = 200
    (tmp_path / "other.yaml").write_text(yaml.safe_dump(tiny_case))
    ended = tapcall("sweep", "other.yaml", "--plan", monday, "--temperatures", "20", "--json")
    assert ended.returncode == 0, ended.stderr
    found = SweepDocument.model_validate_json(ended.stdout)
    # Darcy: time goes with one over the driving pressure, here from 993.25 to 813.25 mbar
    assert found.own.wet_out_s > 1.1 * planned.wet_out_s
    assert found.case_digest != planned.case_digest


def test_settings_beyond_the_data_say_why_and_the_others_are_judged(
    tapcall: Tapcall, tiny_path: Path, order: Path
) -> None:
    """Exit 0 all the same: 14 degrees C is below the points; 2.2 % is above the range; 1.8 % has no gel times."""
    ended = tapcall("sweep", tiny_path, "--plan", order, "--temperatures", "14:20:6", "--initiator", "1.0:2.2:0.4")
    assert ended.returncode == 0, ended.stderr
    assert "the viscosity is measured from 15.0 to 25.0 degrees C; asked at 14.0" in ended.stdout
    assert "14, 20 °C with 2.2 %: outside the initiator range entered in the case, 1 to 2 %" in ended.stdout
    assert "the gel time is measured from 1.500% to 1.500% initiator; asked at 1.800%" in ended.stdout


def test_where_no_setting_holds_it_ends_with_three(tapcall: Tapcall, tiny_path: Path, tmp_path: Path) -> None:
    """The tap is closed again after five seconds."""
    (tmp_path / "starved.yaml").write_text(STARVED)
    ended = tapcall("sweep", tiny_path, "--plan", "starved.yaml", "--temperatures", "18:22:2", "--out", "out")
    assert ended.returncode == 3, ended.stderr
    assert "At no setting of this table does the sequence hold: do not shoot with it." in ended.stdout
    found = SweepDocument.model_validate_json((tmp_path / "out" / "sweep.json").read_bytes())
    assert {cell.state for cell in found.cells} == {CellState.FAILS}


BAD_RANGES = [
    ("--temperatures", "warm", "'warm'"),
    ("--temperatures", "16:26", "'16:26'"),
    ("--temperatures", "26:16:2", "'26:16:2'"),
    ("--temperatures", "16:26:0", "a step of 0"),
    ("--temperatures", "16:26:-2", "a step of -2"),
    ("--temperatures", "16:nan:2", "'16:nan:2'"),
    ("--temperatures", "-5:26:2", "'-5:26:2'"),
    ("--temperatures", "16:90:2", "'16:90:2'"),
    ("--temperatures", "16:26:0.1", "'16:26:0.1', 101 values"),
    ("--temperatures", "16:26:1e-300", "values"),
    ("--temperatures", "20:20.000001:0.0000001", "a step of 1e-07"),
    ("--temperatures", "", "''"),
    ("--initiator", "1.2:2.0:0.2:1", "'1.2:2.0:0.2:1'"),
    ("--initiator", "0:2:0.5", "'0:2:0.5'"),
    ("--initiator", "1:2:0.1", "'1:2:0.1', 11 values"),
    ("--initiator", "1,2", "'1,2'"),
]


@pytest.mark.parametrize(("option", "text", "found"), BAD_RANGES)
def test_a_bad_range_is_one_clear_error_that_names_the_option(
    tapcall: Tapcall, tiny_path: Path, option: str, text: str, found: str
) -> None:
    """Exit 2, one line, nothing on stdout, said before any work begins."""
    ended = tapcall("sweep", tiny_path, f"{option}={text}", "--out", "out")
    assert (ended.returncode, ended.stdout) == (2, "")
    (line,) = ended.stderr.splitlines()
    assert line.startswith(f"{option}: found ")
    assert found in line
    assert "Try: for example" in line
    assert not Path("out").exists()


@pytest.mark.parametrize("plan", ["missing.json", "broken.yaml", "foreign.yaml"])
def test_a_plan_that_does_not_fit_ends_with_two(tapcall: Tapcall, tiny_path: Path, tmp_path: Path, plan: str) -> None:
    """Not there, not a sequence, or labels that this case has not."""
    (tmp_path / "broken.yaml").write_text("name: [unfinished")
    (tmp_path / "foreign.yaml").write_text(ORDER.replace('"1"', '"9"'))
    ended = tapcall("sweep", tiny_path, "--plan", plan)
    assert (ended.returncode, ended.stdout) == (2, "")
    assert "Traceback" not in ended.stderr
    assert ": found " in ended.stderr
