"""Figures as tables of Markdown."""

from __future__ import annotations

from collections.abc import Iterable, Sequence


def table(heads: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """A table with the first column to the left and the numbers to the right."""
    rule = ["---"] + ["---:"] * (len(heads) - 1)
    return "\n".join("| " + " | ".join(map(str, row)) + " |" for row in (heads, rule, *rows))
