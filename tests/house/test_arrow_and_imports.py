"""Imports point one way, and importing does nothing."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PACKAGES = ("optimiser", "api", "cases")

LINT = "from importlinter.cli import lint_imports; raise SystemExit(lint_imports(no_cache=True))"

IMPORT_ALL = """
import contextlib, importlib, io, json, logging, os, pkgutil, signal, sys, threading

def state():
    return {
        "threads": sorted(thread.name for thread in threading.enumerate()),
        "children": sorted(os.listdir("/proc/self/task")) and open(f"/proc/self/task/{os.getpid()}/children").read(),
        "root handlers": [type(handler).__name__ for handler in logging.getLogger().handlers],
        "root level": logging.getLogger().level,
        "logging off": logging.root.manager.disable,
        "Ctrl-C": str(signal.getsignal(signal.SIGINT)),
        "stopping": str(signal.getsignal(signal.SIGTERM)),
        "folder": os.getcwd(),
        "files here": sorted(os.listdir(".")),
    }

seen, effects = [], {}
for package in sys.argv[2:]:
    names = [package, *(one.name for one in pkgutil.walk_packages([f"{sys.argv[1]}/{package}"], package + "."))]
    for name in names:
        before, said = state(), io.StringIO()
        with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
            importlib.import_module(name)
        after = {**state(), "said": said.getvalue()}
        changed = {what: found for what, found in after.items() if found != {**before, "said": ""}[what]}
        seen.append(name)
        if changed:
            effects[name] = changed
print(json.dumps({"seen": seen, "effects": effects}))
"""


def test_the_import_contracts_are_kept() -> None:
    """Left never imports right, and each third party comes in by its own door: the contracts of pyproject.toml."""
    ran = subprocess.run([sys.executable, "-c", LINT], cwd=ROOT, capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stdout + ran.stderr
    assert "0 broken" in ran.stdout


@pytest.fixture(scope="module")
def imported(tmp_path_factory: pytest.TempPathFactory) -> dict[str, object]:
    """All modules imported one after the other in a fresh interpreter, and what each of them changed."""
    ran = subprocess.run(
        [sys.executable, "-W", "error", "-c", IMPORT_ALL, str(ROOT), *PACKAGES],
        cwd=tmp_path_factory.mktemp("empty"),
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr
    return dict(json.loads(ran.stdout))


def test_importing_any_module_has_no_effect(imported: dict[str, object]) -> None:
    """Nothing said, no thread or process started, logging, signals and the folder left alone."""
    assert imported["effects"] == {}


def test_every_module_was_imported(imported: dict[str, object]) -> None:
    """Each file of the packages that is a module of them, so that none escapes the test above."""
    expected = {
        ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
        for package in PACKAGES
        for path in (ROOT / package).rglob("*.py")
        if all((ROOT / folder / "__init__.py").exists() for folder in path.relative_to(ROOT).parents[:-1])
    }
    assert set(imported["seen"]) == expected  # type: ignore[call-overload]
