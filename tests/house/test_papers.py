"""The papers tell the truth: what README, DEVELOPERS and the locks say is what the program does."""

from __future__ import annotations

import ast
import os
import re
import shlex
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from functools import cache
from importlib.metadata import packages_distributions
from pathlib import Path
from typing import Any

import pytest
import typer
import yaml

from api.cli.exits import ExitCode
from api.cli.main import app
from api.http.routes import ROUTERS
from api.settings import Settings
from benchmarks.checks.rows import CheckRow, computed, families, rows_of
from cases import demo_case_path
from optimiser.case.case_document import CaseDocument
from optimiser.case.read_case import read_case
from optimiser.case.read_sequence import read_sequence

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
SERVICE = (ROOT / "docs" / "SERVICE.md").read_text(encoding="utf-8")
PAPERS = (
    "README.md",
    "DEVELOPERS.md",
    "CHANGELOG.md",
    "docs/SERVICE.md",
    "docs/CHECKS.md",
    "docs/NOT_MODELLED.md",
    "benchmarks/RESULTS.md",
    "benchmarks/BY_HAND.md",
)
LOCKS = ("requirements.lock", "requirements-dev.lock")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
SETUP = "python3.11 -m venv .venv && .venv/bin/pip install -q -r "


def blocks(language: str, text: str = README) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```", text, re.DOTALL | re.MULTILINE)


def section(title: str, text: str = README) -> str:
    return text.split(f"\n## {title}\n", 1)[1].split("\n## ", 1)[0]


def table(text: str) -> list[list[str]]:
    """Cells of all table rows but heads and rules."""
    rows = [line.strip("|").split(" | ") for line in text.splitlines() if line.startswith("|")]
    cells = [[cell.strip(" |") for cell in row] for row in rows]
    rules = [at for at, row in enumerate(cells) if set(row[0]) <= set("-: ")]
    return [row for at, row in enumerate(cells) if at not in rules and at + 1 not in rules]


def shell_lines() -> list[str]:
    return [line for block in blocks("bash") for line in block.splitlines()]


# ---- the top of the page -----------------------------------------------------------------------------------


def test_the_job_stands_at_the_very_top() -> None:
    """Title, then one paragraph that says what the tool is for, then a picture, then the two commands."""
    title, job, picture = README.split("\n\n")[:3]
    assert title == "# tapcall"
    for word in ("infusion", "boatyard", "feed lines", "tap", "dry region", "one shot", "chooses the order", "proves"):
        assert word in job
    assert picture.startswith("![")
    assert README.index(job) < README.index(picture) < README.index("## The two commands")


def test_the_two_commands_need_python_alone_and_follow_the_picture() -> None:
    """One sets up and plans the default case, one sets up and tests; both with what is in the folder."""
    commands = blocks("bash", section("The two commands"))
    assert commands == [
        f"{SETUP}requirements.lock -e . && .venv/bin/tapcall plan\n",
        f"{SETUP}requirements-dev.lock -e . && .venv/bin/pytest -n 4\n",
    ]


def test_the_check_from_a_clean_checkout_ends_with_the_readmes_line() -> None:
    """.ci/run stops at the first failure, and its last line is the README's test command, word for word."""
    script = ROOT / ".ci" / "run"
    lines = script.read_text(encoding="utf-8").splitlines()
    assert lines[0] == "#!/usr/bin/env bash"
    assert "set -euo pipefail" in lines
    assert lines[-1] == blocks("bash", section("The two commands"))[1].strip()
    assert os.access(script, os.X_OK)


def test_the_picture_is_of_the_case_that_is_shipped() -> None:
    """Its text names the case by its digest; the file is a PNG that loads quickly."""
    picture = (ROOT / "docs" / "hull_side_map.png").read_bytes()
    assert picture.startswith(b"\x89PNG")
    assert len(picture) < 300_000
    digest = read_case(demo_case_path("hull_side")).digest
    assert f"(case {digest[:8]})" in README


@pytest.mark.parametrize("paper", PAPERS)
def test_links_lead_somewhere(paper: str) -> None:
    """Every link of a paper to a file meets one."""
    targets = re.findall(r"\]\(([^)#]+)[^)]*\)", (ROOT / paper).read_text(encoding="utf-8"))
    inside = [target for target in targets if "://" not in target]
    missing = [target for target in inside if not ((ROOT / paper).parent / target).exists()]
    assert not missing


# ---- the command line --------------------------------------------------------------------------------------


def commands() -> dict[str, Any]:
    return dict(typer.main.get_command(app).commands)  # type: ignore[attr-defined]


def documented_commands() -> list[list[str]]:
    lines = [line.split("#")[0].split(">")[0] for line in shell_lines()]
    return [shlex.split(line)[1:] for line in lines if line.startswith("tapcall ")]


def test_every_command_is_shown() -> None:
    """No command of the program is missing from the README."""
    assert {words[0] for words in documented_commands()} == set(commands())


@pytest.mark.parametrize("words", documented_commands(), ids=" ".join)
def test_command_lines_parse(words: list[str]) -> None:
    """Commands, arguments and options of the examples are those of the program."""
    commands()[words[0]].make_context(words[0], words[1:])


def test_exit_codes_are_those_of_the_program() -> None:
    """All of them, and no others."""
    documented = {int(row[0]) for row in table(section("The command line"))}
    assert documented == {int(code) for code in ExitCode}


def test_the_sequence_shown_can_be_read() -> None:
    """The example is a sequence document."""
    (example,) = blocks("yaml", section("The command line"))
    assert len(read_sequence(example.encode()).steps) == 5


def test_the_blocks_of_a_case_are_named() -> None:
    """Every field at the top of a case stands in the table, and nothing else."""
    named = {name for row in table(section("The case")) for name in re.findall(r"`(\w+)`", row[0])}
    assert named == set(CaseDocument.model_fields) - {"schema_version", "name", "note"}


def test_the_program_runs(tmp_path: Path) -> None:
    """Ten lines at most, run as they stand but for a case that is planned in a moment."""
    (program,) = blocks("python")
    assert len(program.splitlines()) <= 10
    (tmp_path / "case.yaml").write_bytes((ROOT / "tests" / "api" / "tiny_case.yaml").read_bytes())
    quick = program.replace('demo_case_path("flat_panel")', 'Path("case.yaml")')
    assert quick != program
    (tmp_path / "program.py").write_text(quick, encoding="utf-8")
    surroundings = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        [sys.executable, "program.py"], cwd=tmp_path, env=surroundings, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("verified ")
    assert (tmp_path / "flat_panel-plan" / "run_sheet.pdf").read_bytes().startswith(b"%PDF")


# ---- the service -------------------------------------------------------------------------------------------


def test_addresses_are_those_of_the_service() -> None:
    """Every address that is shown exists, and every address of the service is in the section."""
    paths = [route.path for router in ROUTERS for route in router.routes]  # type: ignore[attr-defined]
    shown = re.findall(r"(?:127\.0\.0\.1:8080|`)(/(?:v1|livez|readyz|metrics|openapi)[^\s`'?]*)", SERVICE)
    patterns = {path: re.compile(re.sub(r"\{\w+\}", r"[\\w{}]+", path) + r"\Z") for path in paths}
    assert not [each for each in shown if not any(pattern.match(each) for pattern in patterns.values())]
    assert not [path for path, pattern in patterns.items() if not any(pattern.match(each) for each in shown)]


def test_settings_are_those_of_the_service() -> None:
    """Name, default and meaning of each, word for word."""
    rows = {row[0].strip("`"): tuple(row[1:]) for row in table(section("Settings", SERVICE))}
    fields = Settings.model_fields.items()
    assert rows == {f"TAPCALL_{name.upper()}": (str(field.default), field.description) for name, field in fields}


# ---- check values ------------------------------------------------------------------------------------------


def check_values() -> Iterator[CheckRow]:
    for family in families():
        yield from rows_of(family)


@pytest.mark.parametrize("row", table(section("Check values")), ids=lambda row: row[0])
def test_check_value_is_what_the_law_gives_and_its_source_says(row: list[str]) -> None:
    """'ours' is computed anew; expected value and source are those of the file."""
    _, ours, expected, source, place = row
    family, case = re.fullmatch(r"`(\w+)`: (.*)", place).groups()  # type: ignore[union-attr]
    found = [
        (printed(computed(data)), printed(data.expected))
        for data in check_values()
        if data.family == family and data.case == case and f"{data.source}; {data.sureness}" == source
    ]
    assert (ours, expected) in found


def test_the_number_of_check_values_is_counted() -> None:
    """The README's number of rows is that of the files."""
    counted = re.search(r"These rows and the others, (\d+) in all", section("Check values"))
    assert counted is not None
    assert int(counted[1]) == sum(1 for _ in check_values())


def printed(value: Any) -> str:
    return ", ".join(f"{each:.6g}" for each in (value if isinstance(value, list | tuple) else [value]))


# ---- what is installed -------------------------------------------------------------------------------------


LOADED_BY_NAME = {"httptools", "uvloop"}
"""What a library of ours loads for a class of its own that we use: uvicorn its parser and its loop."""


def plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def declared(requirements: list[str]) -> set[str]:
    return {plain(re.split(r"[<>=\[ ;]", requirement)[0]) for requirement in requirements}


RUNTIME = declared(PROJECT["project"]["dependencies"])
DEVELOPMENT = declared(PROJECT["dependency-groups"]["dev"])


distributions = cache(packages_distributions)
"""Of all that is installed, asked for once."""


def imported(*folders: str) -> set[str]:
    """Distributions outside the standard library and this repository that the folders import."""
    ours = {path.name for path in ROOT.iterdir() if path.is_dir()}
    known = distributions()
    found = set()
    for path in (path for folder in folders for path in (ROOT / folder).rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
                names = [node.module]
            found |= {name.split(".")[0] for name in names}
    outside = found - ours - set(sys.stdlib_module_names)
    return {plain(known.get(name, [name])[0]) for name in outside}


def test_what_the_program_imports_is_declared_and_the_other_way_round() -> None:
    """Nothing works by the grace of somebody else's dependency, and nothing is installed for no reason."""
    assert imported("optimiser", "api", "cases", "benchmarks") | LOADED_BY_NAME == RUNTIME


def test_what_the_tests_import_is_declared() -> None:
    """With the development group the tests have all they need."""
    assert imported("tests", "docs") <= RUNTIME | DEVELOPMENT


@pytest.mark.parametrize("lock", LOCKS)
def test_lock_pins_all_that_is_declared_and_names_no_host(lock: str) -> None:
    """One exact version a line, nothing else: no address, no path, no option."""
    lines = (ROOT / lock).read_text(encoding="utf-8").splitlines()
    pins = [re.fullmatch(r"([\w.-]+)==[\w.]+( ; [\w. '<>=!]+)?", line) for line in lines]
    assert all(pins), [line for line, pin in zip(lines, pins, strict=True) if pin is None]
    pinned = {plain(pin[1]) for pin in pins if pin is not None}
    assert RUNTIME | (DEVELOPMENT if "dev" in lock else set()) <= pinned


def test_development_lock_holds_the_other() -> None:
    """The tests run on the versions that the shop gets."""
    runtime, development = (set((ROOT / lock).read_text(encoding="utf-8").splitlines()) for lock in LOCKS)
    assert runtime <= development


# ---- the house ---------------------------------------------------------------------------------------------


def test_developers_page_names_every_package_and_only_files_that_exist() -> None:
    """The map of the house is whole, and what it points at is there."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    packages = [path.parent.relative_to(ROOT).as_posix() for path in ROOT.glob("*/*/__init__.py")]
    assert not [package for package in packages if f"`{package}/`" not in text]
    named = re.findall(r"`((?:optimiser|api|cases|tests|benchmarks|docs|\.ci)/[\w./]*)`", text)
    assert len(named) > 20
    assert not [path for path in named if not (ROOT / path).exists()]


def test_version_is_in_the_changelog_and_licence_is_whole() -> None:
    """The version of the project has its entry; the licence is the one that the project names, with its holder."""
    changes = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    assert f"## [{PROJECT['project']['version']}]" in changes
    licence = (ROOT / "LICENSE").read_text(encoding="utf-8")
    assert PROJECT["project"]["license"] == "Apache-2.0"
    assert "Version 2.0, January 2004" in licence
    assert "the tapcall developers" in licence
    assert licence.count("\n   9. ") == 1


def test_example_documents_in_the_papers_are_plain_yaml() -> None:
    """What is shown as YAML is YAML."""
    assert all(yaml.safe_load(block) for paper in PAPERS for block in blocks("yaml", (ROOT / paper).read_text()))


@pytest.mark.parametrize("paper", PAPERS)
def test_no_place_is_left_to_fill_in(paper: str) -> None:
    """No mark of a draft stands in a paper."""
    assert not re.findall(r"@[A-Z]+@|TODO|FIXME|XXX", (ROOT / paper).read_text(encoding="utf-8"))
