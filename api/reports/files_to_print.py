"""The files that are printed in place of a stored sheet, named by the number on the new one."""

from __future__ import annotations

from typing import Final

SHEETS: Final = "sheets"
"""Their folder, beside the report."""


def files_to_print(sheet: str) -> dict[str, str]:
    """What it is, and its place beside the report."""
    return {
        "run sheet": f"{SHEETS}/{sheet}-run-sheet.pdf",
        "tap labels": f"{SHEETS}/{sheet}-tap-labels.pdf",
    }
