"""Demo cases of an invented yard, one folder each. They lie beside this file, installed or not."""

from __future__ import annotations

from pathlib import Path

_FOLDER = Path(__file__).resolve().parent


def demo_case_path(name: str) -> Path:
    """The case file of a demo, for example 'flat_panel'; ValueError where there is no such demo."""
    path = _FOLDER / name / "case.yaml"
    if name not in demo_case_names():
        raise ValueError(f"no demo case {name!r}; there are {', '.join(demo_case_names())}")
    return path


def demo_case_names() -> list[str]:
    return sorted(path.parent.name for path in _FOLDER.glob("*/case.yaml"))
