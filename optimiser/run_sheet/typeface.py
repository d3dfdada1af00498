"""The typeface of everything printed, and what is done with characters it cannot print.

One typeface for PDF and map: the one that matplotlib carries with it, so a sheet looks alike on every
machine. It holds Latin, Greek, Cyrillic and more. A character that it lacks, or that would need shaping from
right to left, is printed as its code point, `[U+6D41]`: ugly, but never blank, never a box, and two different
names stay different.
"""

from __future__ import annotations

import unicodedata
from functools import cache
from pathlib import Path

import matplotlib
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

PLAIN = "SheetPlain"
BOLD = "SheetBold"
_FILES = {PLAIN: "DejaVuSans.ttf", BOLD: "DejaVuSans-Bold.ttf"}
NO_BREAK = "\u00a0"
_KEPT = NO_BREAK + "\u200c\u200d"
_RIGHT_TO_LEFT = frozenset({"R", "AL"})


def font_file(name: str) -> Path:
    """Path of the font file for PLAIN or BOLD."""
    return Path(matplotlib.get_data_path()) / "fonts" / "ttf" / _FILES[name]


@cache
def register_fonts() -> None:
    """Make both fonts known to reportlab, once per process."""
    for name in _FILES:
        pdfmetrics.registerFont(TTFont(name, str(font_file(name))))
    pdfmetrics.registerFontFamily(PLAIN, normal=PLAIN, bold=BOLD, italic=PLAIN, boldItalic=BOLD)


@cache
def _drawable() -> frozenset[int]:
    """Code points that both fonts can draw."""
    plain, bold = (TTFont(name, str(font_file(name))).face.charToGlyph for name in (PLAIN, BOLD))
    return frozenset(plain) & frozenset(bold)


def visible(text: str) -> str:
    """Composed text, blanks evened out, hidden and direction-turning characters shown by code point."""
    return "".join(_shown(char) for char in unicodedata.normalize("NFC", text)).strip()


def printable(text: str) -> str:
    """`visible` text in which every character that the typeface cannot set is shown by code point."""
    return "".join(char if _can_set(char) else _code_point(char) for char in visible(text))


def shortened(text: str, most: int) -> str:
    """The text, cut with dots where it is longer than `most` characters."""
    return text if len(text) <= most else f"{text[: most - 1]}…"


def _shown(char: str) -> str:
    if char.isspace() and char != NO_BREAK:
        return " "
    if unicodedata.category(char).startswith("C") and char not in _KEPT:
        return _code_point(char)
    return char


def _can_set(char: str) -> bool:
    return ord(char) in _drawable() and unicodedata.bidirectional(char) not in _RIGHT_TO_LEFT


def _code_point(char: str) -> str:
    return f"[U+{ord(char):04X}]"
