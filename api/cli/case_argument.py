"""CASE on the command line: a file, or the name of a demo case."""

from __future__ import annotations

from difflib import get_close_matches
from pathlib import Path
from typing import Annotated

import typer

from cases import demo_case_names, demo_case_path
from optimiser.errors import Fault, InputError

DEFAULT_CASE = "hull_side"

CaseArgument = Annotated[
    str,
    typer.Argument(
        metavar="CASE", help="A case file (YAML or JSON), or the name of a demo case.", show_default=True
    ),
]


def case_path(text: str) -> Path:
    """A file of that name comes first. InputError for a bare word that is neither; a path is left to its reader."""
    path, names = Path(text), demo_case_names()
    if path.exists() or path.suffix or path.name != text:
        return path
    if text in names:
        return demo_case_path(text)
    likely = get_close_matches(text, names, n=1)
    raise InputError(
        [
            Fault(
                path="CASE",
                found=repr(text),
                expected=f"a case file, or one of the demo cases {', '.join(names)}",
                remedy=f"did you mean {likely[0]}?" if likely else "tapcall demos lists the demo cases",
            )
        ]
    )
