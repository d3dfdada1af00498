"""Text as a report shows it: hidden characters made visible, as on the run sheets."""

from __future__ import annotations

from optimiser.run_sheet.typeface import visible


def shown(text: str) -> str:
    """`visible` text, by a short way where all is plain, as a report may have 200 000 cells."""
    return text.strip() if text.isascii() and text.isprintable() else visible(text)
