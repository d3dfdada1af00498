"""The rules of the house that a program can see: sizes, names, docstrings, words that have no place here."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
FOLDERS = ("optimiser", "api", "cases", "tests", "docs", "benchmarks")
MOST_LINES = 400
NO_NAMES = ("util", "utils", "helper", "helpers", "common", "manager", "managers", "misc")

NO_WORDS = (
    "seed" + " document",
    "tran" + "script",
    "foun" + "der",
    "/wo" + "rk/",
    "/tm" + "p/",
    "/ho" + "me/",
    "/ro" + "ot/",
    "py" + "pi.org",
    "python" + "hosted.org",
    "npm" + "js.",
    "cra" + "tes.io",
    "arti" + "factory",
)
"""Words of how this was made, places of one machine, hosts of package registries. Put together here, so that this
file may hold them."""


def files(*suffixes: str) -> list[Path]:
    """Files of the project, caches aside; without suffixes all that are text."""
    inside = [path for folder in FOLDERS for path in sorted((ROOT / folder).rglob("*"))]
    top = sorted(path for path in ROOT.glob("*") if path.name in KEPT_AT_THE_TOP or path.suffix in (".md", ".lock"))
    found = [path for path in (*top, *inside) if path.is_file() and "__pycache__" not in path.parts]
    return [path for path in found if not suffixes or path.suffix in suffixes]


KEPT_AT_THE_TOP = ("pyproject.toml", "LICENSE", ".gitignore", "Dockerfile", "compose.yaml")


def name_of(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


@cache
def texts() -> tuple[tuple[Path, str], ...]:
    """Read once, as every word is looked for in all of them."""
    return tuple(_texts())


def _texts() -> Iterator[tuple[Path, str]]:
    for path in (*files(), ROOT / ".ci" / "run"):
        try:
            yield path, path.read_text("utf-8")
        except UnicodeDecodeError:
            continue


def definitions(path: Path) -> Iterator[ast.FunctionDef]:
    tree = ast.parse(path.read_text("utf-8"))
    yield from (node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef))


def test_there_is_something_to_look_at() -> None:
    """The tests below would say nothing about an empty list."""
    assert len(files(".py")) > 200
    assert len(list(texts())) > 250


def test_no_file_is_long() -> None:
    """One idea a file; 400 lines is where it ends."""
    long = {name_of(path): path.read_text("utf-8").count("\n") for path in files(".py", ".j2", ".css")}
    assert {name: lines for name, lines in long.items() if lines > MOST_LINES} == {}


def test_no_file_or_folder_is_named_for_nothing() -> None:
    """What does not name its noun or its law gathers whatever has no place."""
    parts = {
        part.removesuffix(".py").removeprefix("test_") for path in files(".py") for part in Path(name_of(path)).parts
    }
    assert parts & set(NO_NAMES) == set()


def test_every_module_says_what_it_is() -> None:
    """A first line a person can read; packages that only hold a folder together may be empty."""
    silent = [
        name_of(path)
        for path in files(".py")
        if path.name != "__init__.py" and not ast.get_docstring(ast.parse(path.read_text("utf-8")))
    ]
    assert silent == []


@pytest.mark.parametrize("word", NO_WORDS)
def test_a_word_that_has_no_place_here_is_nowhere(word: str) -> None:
    """In no text file, in no file's name, whatever its capitals."""
    found = re.compile(rf"(?<![a-z]){re.escape(word)}")
    assert [name_of(path) for path, text in texts() if found.search(f"{name_of(path)}\n{text}".lower())] == []


def test_tests_are_named_once_and_say_what_they_hold() -> None:
    """No two test files of one name, no package files among them, and a sentence in every test."""
    paths = [path for path in files(".py") if path.is_relative_to(ROOT / "tests")]
    names = [path.name for path in paths if path.name.startswith("test_")]
    assert sorted(names) == sorted(set(names))
    assert [name_of(path) for path in paths if path.name == "__init__.py"] == []
    silent = [
        f"{name_of(path)}: {node.name}"
        for path in paths
        if path.name.startswith("test_")
        for node in definitions(path)
        if node.name.startswith("test_") and not ast.get_docstring(node)
    ]
    assert silent == []


def test_no_test_is_left_out() -> None:
    """Neither skipped nor expected to fail."""
    way_out = re.compile(r"\b(skip|skipif|xfail|importorskip)\b\(")
    found = [
        name_of(path)
        for path in files(".py")
        if path.is_relative_to(ROOT / "tests") and path != Path(__file__) and way_out.search(path.read_text("utf-8"))
    ]
    assert found == []
