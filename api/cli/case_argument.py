"""CASE on the command line: a file, or the name of a demo case."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cases import demo_case_names, demo_case_path

DEFAULT_CASE = "hull_side"

CaseArgument = Annotated[
    str,
    typer.Argument(
        metavar="CASE", help="A case file (YAML or JSON), or the name of a demo case.", show_default=True
    ),
]


def case_path(text: str) -> Path:
    """A file of that name comes first; a name that is neither is left to the reader of cases to refuse."""
    path = Path(text)
    if not path.is_file() and text in demo_case_names():
        return demo_case_path(text)
    return path
