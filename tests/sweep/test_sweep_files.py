"""The files of a sweep: whole, the same every time, readable without colour, and true to the numbers."""

from __future__ import annotations

import csv
import html
import io
import re
from html.parser import HTMLParser
from typing import Any
from xml.etree import ElementTree

import pytest
from PIL import Image

from optimiser.run_sheet import ink
from optimiser.run_sheet.cautions import CAUTIONS, DEFER
from optimiser.sweep.as_csv import HEADS, render_csv
from optimiser.sweep.files import rendered
from optimiser.sweep.page import render_html
from optimiser.sweep.plot import plot_svg
from optimiser.sweep.sweep_document import SweepDocument


@pytest.fixture(scope="module")
def files(looked_up: SweepDocument) -> dict[str, bytes]:
    return rendered(looked_up)


@pytest.fixture(scope="module")
def page(files: dict[str, bytes]) -> str:
    return files["sweep.html"].decode()


def test_the_same_sweep_gives_the_same_files(looked_up: SweepDocument, files: dict[str, bytes]) -> None:
    """Byte for byte."""
    assert rendered(looked_up) == files
    assert list(files) == ["sweep.html", "sweep.csv", "sweep.svg", "sweep.png", "sweep.json"]


def test_the_sweep_is_read_back_from_its_json(looked_up: SweepDocument, files: dict[str, bytes]) -> None:
    """Nothing is lost on the way."""
    assert SweepDocument.model_validate_json(files["sweep.json"]) == looked_up


def test_the_table_has_a_line_for_each_setting(looked_up: SweepDocument, files: dict[str, bytes]) -> None:
    """As the csv module of Python reads RFC 4180; minutes err to the safe side, and each line adds up."""
    rows = list(csv.DictReader(io.StringIO(files["sweep.csv"].decode("utf-8-sig"), newline=""), strict=True))
    assert len(rows) == len(looked_up.cells)
    assert tuple(rows[0]) == HEADS
    for row, cell in zip(rows, looked_up.cells, strict=True):
        assert (float(row["mould °C"]), float(row["initiator %"])) == (cell.mould_temperature_c, cell.initiator_percent)
        assert 0 <= float(row["wet-out min"]) - cell.wet_out_s / 60 < 0.1
        assert 0 <= cell.gel_margin_s / 60 - float(row["margin min"]) < 0.2
        assert float(row["margin min"]) == pytest.approx(
            float(row["gel limit min"]) - float(row["wet-out min"]), abs=1e-9
        )
        assert row["found by"] == "look-up"
    assert [row["own setting"] for row in rows].count("yes") == 1


def test_no_reason_is_taken_for_a_formula(looked_up: SweepDocument) -> None:
    """A rule of the shop that fails is told with a label first, and a label may be anything (CWE-1236)."""
    formula = looked_up.cells[0].model_copy(update={"reason": "=1+1 and no other line open at the start"})
    text = render_csv(looked_up.model_copy(update={"cells": [formula]})).decode("utf-8-sig")
    (row,) = csv.DictReader(io.StringIO(text, newline=""), strict=True)
    assert not [value for value in row.values() if value[:1] in "=@" and value]
    assert row["why"] == "OK: =1+1 and no other line open at the start"


def test_the_drawing_is_well_formed_and_the_picture_its_size(files: dict[str, bytes]) -> None:
    """SVG as an XML parser reads it; the PNG of a landscape page at 200 dots per inch, in greys alone."""
    assert ElementTree.fromstring(files["sweep.svg"]).tag == "{http://www.w3.org/2000/svg}svg"
    picture = Image.open(io.BytesIO(files["sweep.png"])).convert("RGB")
    assert picture.size == (2180, 1420)
    assert all(red == green == blue for _, (red, green, blue) in picture.getcolors(1 << 24) or [])


class Page(HTMLParser):
    """Tags that are open, and what fetches anything."""

    VOID = frozenset({"meta", "br", "col", "path", "use"})

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.fetched: list[str] = []

    def handle_starttag(self, tag: str, *_: object) -> None:
        if tag not in self.VOID:
            self.open.append(tag)
        self.fetched += [tag] if tag in ("script", "img", "link", "iframe") else []

    def handle_startendtag(self, *_: object) -> None:
        """Closed where it is opened."""

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def test_the_page_is_whole_and_fetches_nothing(page: str) -> None:
    """Every tag is closed in its order; no script, no picture from elsewhere."""
    read = Page()
    read.feed(page)
    assert read.open == []
    assert read.fetched == []


def test_no_other_colour_stands_in_the_page(page: str) -> None:
    """The styles use the inks whose contrast is checked."""
    styles = re.search(r"<style>(.*?)</style>", page, re.DOTALL)
    assert styles is not None
    used = set(re.findall(r"#[0-9a-fA-F]{6}\b|#[0-9a-fA-F]{3}\b|rgb\([^)]*\)", styles[1]))
    assert used == {ink.BLACK, ink.WHITE, ink.NEAR_BLACK, ink.TINT}


def test_the_page_advises_no_level_and_carries_the_cautions(page: str) -> None:
    """What decides is the data sheet; hazards stand in the words of the run sheet."""
    assert "No level is advised here." in page
    assert "Inside the range entered; the data sheet decides." in page
    assert "plan again before the crew starts" in page.replace("\n", " ")
    assert DEFER in html.unescape(page)
    assert all(caution.text in html.unescape(page) for caution in CAUTIONS)


def test_each_word_on_the_page_is_explained(page: str) -> None:
    """OK, TIGHT and LATE are in this sweep; FAILS and no data are not, and are not explained."""
    explained = re.findall(r"<li><b>(\w[\w ]*)</b>:", page)
    assert explained == ["OK", "TIGHT", "LATE"]


def test_a_setting_that_must_not_be_shot_makes_the_page_say_so(bay: Any) -> None:
    """The case's own setting locks: the heading is white on black, and no setting is named for its margin."""
    page = render_html(bay.sweep(bay.clamped_too_early))
    assert '<div class="verdict alarm">' in page
    assert "At no setting of this table does the sequence hold: do not shoot with it." in page
    assert "Most margin" not in page


def test_names_of_the_user_are_text_and_never_markup(bay: Any) -> None:
    """A batch that is a tag."""
    made = bay.sweep(bay.open, (20.0,), (1.5,), resin={"batch": "<b>7</b>"})
    assert "&lt;b&gt;7&lt;/b&gt;" in render_html(made)


@pytest.mark.parametrize(("temperatures", "levels"), [(1, 1), (14, 9)])
def test_the_smallest_and_the_largest_table_can_be_drawn(bay: Any, temperatures: int, levels: int) -> None:
    """As many settings as the command line takes, with the case's own besides."""
    made = bay.sweep(
        bay.open,
        tuple(sorted({20.0, *(16.0 + k for k in range(temperatures))})) if temperatures > 1 else (20.0,),
        tuple(sorted({1.5, *(1.1 + 0.1 * k for k in range(levels - 1))})) if levels > 1 else (1.5,),
    )
    assert ElementTree.fromstring(plot_svg(made)).tag.endswith("svg")
