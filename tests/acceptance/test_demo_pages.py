"""What is printed on a demo's page is what a fresh plan says."""

from __future__ import annotations

import re
from typing import Any

import pytest

from cases import demo_case_names, demo_case_path

MINUTES = 0.5
SHARE = 0.2
"""Numbers of a page may be off by half a minute (a metre, a litre), and small ones by no more than a fifth."""

_NUMBER = re.compile(r"\d+(?:\.\d+)?")


def differs(printed: str, fresh: str) -> bool:
    words = _NUMBER.sub("#", printed) == _NUMBER.sub("#", fresh)
    pairs = zip(_NUMBER.findall(printed), _NUMBER.findall(fresh), strict=False)
    return not words or any(abs(float(a) - float(b)) > min(MINUTES, SHARE * float(b)) for a, b in pairs)


def what_it_says(page: str) -> list[str]:
    """Lines of the first block without a language: what the command line prints."""
    return re.findall(r"\n```\n(.*?)\n```\n", page, flags=re.DOTALL)[0].split("\n")


def rows(page: str) -> list[tuple[str, float, float, str]]:
    """Order, wet-out in minutes, litres locked, network."""
    found = re.findall(
        r"^\| (\w.+?)(?: \(\w+\))? \| ([\d.]+) \| ([\d.]+) \| (\w+) network \|$", page, flags=re.MULTILINE
    )
    return [(name, float(minutes), float(litres), network) for name, minutes, litres, network in found]


@pytest.mark.parametrize("name", demo_case_names())
def test_a_page_quotes_the_result(demos: Any, name: str) -> None:
    """Line by line, but for the warnings and the list of files; after a change of the planner, quote it anew."""
    said = demos.plan(name).said.rstrip("\n").split("\n")
    fresh = [line for line in said if not line.startswith(("Warning: ", "Wrote "))]
    printed = what_it_says(demos.page(name))
    assert len(printed) == len(fresh), "\n".join(fresh)
    assert not any(map(differs, printed, fresh)), "\n".join(fresh)


@pytest.mark.parametrize("name", demo_case_names())
def test_a_page_lists_orders_as_they_were_played(demos: Any, name: str) -> None:
    """Wet-out within half a minute, litres within a fifth, on the network that the page names."""
    listed = rows(demos.page(name))
    assert len(listed) >= 3
    for order, minutes, litres, network in listed:
        candidate = demos.plan(name).candidate(order)
        assert candidate.wet_out_s / 60 == pytest.approx(minutes, abs=MINUTES), order
        assert candidate.locked_litres == pytest.approx(litres, rel=SHARE), order
        assert ("coarse" in candidate.remark) == (network == "coarse"), order


@pytest.mark.parametrize("name", demo_case_names())
def test_a_page_names_its_command_and_its_exit_code(demos: Any, name: str) -> None:
    """So that it can be typed and compared."""
    page = re.sub(r"\s+", " ", demos.page(name))
    command, code = f"tapcall plan {name} --out {name}-plan", demos.plan(name).exit_code
    assert f"`{command}` ends with exit code {code} and says" in page


@pytest.mark.parametrize("name", demo_case_names())
def test_a_page_names_the_chosen_order(demos: Any, name: str) -> None:
    """The row that is marked as chosen, or as the best of those that are too late, is the plan's."""
    marked = re.findall(r"^\| (.+?) \((?:chosen|best)\) \|", demos.page(name), flags=re.MULTILINE)
    assert marked == [demos.plan(name).chosen.name]


def test_the_list_of_demos_is_complete() -> None:
    """Every demo has its row and its page."""
    overview = demo_case_path("flat_panel").parents[1].joinpath("README.md").read_text(encoding="utf-8")
    assert sorted(re.findall(r"\]\((\w+)/README\.md\)", overview)) == demo_case_names()
