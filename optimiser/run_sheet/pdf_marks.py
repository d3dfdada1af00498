"""Marks of no size that note the page they land on: for 'page 4' in a sentence, and for what a page's foot says."""

from __future__ import annotations

from itertools import pairwise

from reportlab.platypus import Flowable

from optimiser.run_sheet.rows import StepGroup

CHECKS, CAUTIONS, TOGETHER = "checks", "cautions", "together"


class PageMark(Flowable):
    """Notes its page under its name."""

    def __init__(self, name: str, pages: dict[str, int]) -> None:
        super().__init__()
        self.width = self.height = 0
        self._name, self._pages = name, pages

    def draw(self) -> None:
        self._pages[self._name] = self.canv.getPageNumber()


def begins(number: int) -> str:
    return f"group {number} begins"


def ends(number: int) -> str:
    return f"group {number} ends"


def turns_at_once(groups: list[StepGroup], pages: dict[str, int]) -> frozenset[int]:
    """Pages whose last step and the first on the next page are due together, or in the same printed minute."""
    if not pages:
        return frozenset()
    torn = [page for n in range(len(groups)) for page in range(pages[begins(n)], pages[ends(n)])]
    between = [
        pages[ends(n)]
        for n, (group, after) in enumerate(pairwise(groups))
        if pages[ends(n)] != pages[begins(n + 1)] and group.rows[-1].minute == after.rows[0].minute
    ]
    return frozenset([*torn, *between])
