"""A label as people read it."""

from __future__ import annotations

from typing import Literal


def shown_label(label: str, kind: Literal["line", "vent"]) -> str:
    """'TAP 2' where the label is only figures, so that it cannot be taken for a step or a minute."""
    if not label.isdecimal():
        return label
    return f"{'TAP' if kind == 'line' else 'VENT'} {label}"
