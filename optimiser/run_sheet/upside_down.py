"""Numbers that are another number when the label hangs upside down: they are underlined."""

from __future__ import annotations

_TURNED = str.maketrans("01689", "01986")


def reads_upside_down(text: str) -> bool:
    """True for 6, 9, 16, 18, 19, 61 and so on; false for 8, 11, 69, which stay what they are, and for 10."""
    turned = text.translate(_TURNED)[::-1]
    return text.isdecimal() and set(text) <= set("01689") and turned != text and not turned.startswith("0")
