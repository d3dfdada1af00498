"""Characters the printed typeface has, and those it has not."""

from __future__ import annotations

from functools import cache

from hypothesis import given, settings
from hypothesis import strategies as st
from matplotlib.ft2font import FT2Font

from optimiser.run_sheet.typeface import BOLD, PLAIN, font_file, printable, visible


@cache
def characters(name: str) -> frozenset[int]:
    """Code points in a font's own table, as FreeType reads it."""
    return frozenset(FT2Font(str(font_file(name))).get_charmap())


@settings(deadline=None, derandomize=True)
@given(st.text(max_size=40))
def test_every_printed_character_is_in_both_fonts(text: str) -> None:
    """Whatever a name holds, no box and no blank is printed; FreeType is the judge."""
    known = characters(PLAIN) & characters(BOLD)
    assert [char for char in printable(text) if ord(char) not in known] == []


def test_latin_greek_and_cyrillic_print_as_they_are() -> None:
    """Names from most yards need no stand-in."""
    assert printable("Zeile ÄÖÜ ñ Żółć Линия 3 Ωμέγα № 4 µ ½") == "Zeile ÄÖÜ ñ Żółć Линия 3 Ωμέγα № 4 µ ½"


def test_two_names_in_missing_letters_stay_two_names() -> None:
    """U+524D and U+5F8C are not in the typeface; their code points keep the labels apart."""
    assert (printable("前"), printable("後")) == ("[U+524D]", "[U+5F8C]")


def test_a_character_that_turns_the_reading_direction_cannot_hide() -> None:
    """U+202E would print 'FWD' as 'DWF' in a browser."""
    assert visible("1-\u202eFWD") == "1-[U+202E]FWD"


def test_composed_and_decomposed_letters_print_alike() -> None:
    """Unicode normal form C (Unicode Standard Annex 15)."""
    assert printable("e\u0301") == "é"
