"""What is printed on a demo's page is what a fresh plan says, or where that takes minutes what its order does."""

from __future__ import annotations

import re
from typing import Any

import pytest

from benchmarks.pages import (
    AS_PLANNED,
    differs,
    not_as_quoted,
    orders_that_differ,
    page_of,
    rows,
    what_it_says,
    without_warnings,
)
from cases import demo_case_names, demo_case_path

DEAR = [name for name in demo_case_names() if demo_case_path(name).with_name(AS_PLANNED).exists()]
PLANNED = [name for name in demo_case_names() if name not in DEAR]


def test_a_demo_is_planned_here_or_its_order_is_kept() -> None:
    """Those that take longer are not planned; `python -m benchmarks.pages` plans them too."""
    assert DEAR == ["deck_cutout", "hatch_cover", "hull_side", "too_late"]
    assert len(PLANNED) == 2


@pytest.mark.parametrize("name", PLANNED)
def test_a_page_quotes_the_result(demos: Any, name: str) -> None:
    """Line by line, but for the warnings and the list of files; after a change of the planner, quote it anew."""
    off = not_as_quoted(page_of(name), demos.plan(name).said)
    assert not off, "\n".join(off)


@pytest.mark.parametrize("name", DEAR)
def test_a_page_quotes_what_its_order_does(demos: Any, name: str) -> None:
    """All that a check of it says: verdict, wet-out, limit, tool side, taps in their order."""
    said, printed = demos.as_planned(name).said, what_it_says(page_of(name))
    said = said.replace(": this sequence is", ":").replace(" with this sequence", ": no admissible sequence")
    fresh = [line for line in without_warnings(said) if not line.startswith("Variations: ")]
    assert len(fresh) >= 3
    assert not [new for old, new in zip(printed, fresh, strict=False) if differs(old, new)]


@pytest.mark.parametrize("name", PLANNED)
def test_a_page_lists_orders_as_they_were_played(demos: Any, name: str) -> None:
    """Wet-out within half a minute, litres within a fifth, on the network that the page names; the row that is marked
    as chosen, or as the best of those that are too late, is the plan's."""
    page = page_of(name)
    assert len(rows(page)) >= 3
    assert not orders_that_differ(page, demos.plan(name).plan)
    assert [order for order, mark in rows(page) if mark] == [demos.plan(name).chosen.name]


@pytest.mark.parametrize("name", demo_case_names())
def test_a_page_names_its_command_and_its_exit_code(demos: Any, name: str) -> None:
    """So that it can be typed and compared."""
    page = re.sub(r"\s+", " ", page_of(name))
    answer = demos.as_planned(name) if name in DEAR else demos.plan(name)
    assert f"`tapcall plan {name} --out {name}-plan` ends with exit code {answer.exit_code} and says" in page


def test_a_page_that_is_not_as_the_plan_says_is_found(demos: Any) -> None:
    """One word, one number, one row that is another: each is told."""
    page, answer = page_of("flat_panel"), demos.plan("flat_panel")
    minutes = re.findall(r"Wet-out [\d.]+ min", page)[0]
    assert not_as_quoted(page.replace(minutes, "Wet-out 17.9 min", 1), answer.said)
    assert not_as_quoted(page.replace(": verified", ": not admissible", 1), answer.said)
    row = next(line for line in page.split("\n") if line.startswith("| ") and "(chosen)" in line)
    assert orders_that_differ(page.replace(row, row.replace("| 0 |", "| 0.4 |")), answer.plan)
    assert orders_that_differ(page.replace(row, row.replace("full", "coarse")), answer.plan)


def test_the_list_of_demos_is_complete() -> None:
    """Every demo has its row and its page."""
    overview = demo_case_path("flat_panel").parents[1].joinpath("README.md").read_text(encoding="utf-8")
    assert sorted(re.findall(r"\]\((\w+)/README\.md\)", overview)) == demo_case_names()
