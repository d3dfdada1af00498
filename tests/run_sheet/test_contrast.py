"""Contrast of everything printed, by the WCAG 2.x formula."""

from __future__ import annotations

import re

import pytest

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet import ink
from optimiser.run_sheet.html import render_html

ENHANCED = 7.0
"""WCAG 2.1, success criterion 1.4.6, level AAA for text (from memory)."""


def relative_luminance(colour: str) -> float:
    """WCAG 2.1, definition of relative luminance: sRGB channels made linear, then weighted (from memory)."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """WCAG 2.1, definition of contrast ratio: (L1 + 0.05) / (L2 + 0.05)."""
    low, high = sorted((relative_luminance(one), relative_luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_the_yardstick_gives_the_published_extremes() -> None:
    """WCAG: black on white is 21 to 1, a colour on itself 1 to 1."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#e8e8e8", "#e8e8e8") == pytest.approx(1.0)


@pytest.mark.parametrize(("writing", "ground"), ink.WRITTEN_ON)
def test_writing_stands_out_from_its_ground(writing: str, ground: str) -> None:
    """At least the enhanced ratio for every pair in use."""
    assert contrast(writing, ground) >= ENHANCED


@pytest.mark.parametrize("count", [1, 2, 8])
def test_black_is_readable_on_every_grey_of_the_map(count: int) -> None:
    """Minute lines and runs cross all shades, the darkest included."""
    assert min(contrast(ink.BLACK, grey) for grey in ink.wet_greys(count)) >= ENHANCED


def test_greys_of_the_map_only_get_darker() -> None:
    """Later is darker, without a step back, so that a copier cannot turn the order round."""
    shades = [relative_luminance(grey) for grey in ink.wet_greys(8)]
    assert shades == sorted(shades, reverse=True)
    assert len(set(shades)) == 8


def test_no_other_colour_stands_in_the_page(plan: PlanDocument) -> None:
    """The styles use the checked inks only."""
    styles = re.search(r"<style>(.*?)</style>", render_html(plan), re.DOTALL)
    assert styles is not None
    used = set(re.findall(r"#[0-9a-fA-F]{6}\b|#[0-9a-fA-F]{3}\b|rgb\([^)]*\)", styles[1]))
    assert used == {ink.BLACK, ink.WHITE, ink.NEAR_BLACK, ink.TINT}
