"""A report as one self-contained page to read and to print: no script, nothing fetched, black on white."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from jinja2 import Template

from api.reports.groups import NOT_TO_BE_USED, WORDS, Group
from api.reports.html_rows import Row, row_of
from api.reports.order import by_group
from api.reports.report_document import ReportItem, RevalidationReport
from api.reports.report_words import HOW_TO_READ, THIS_CHANGE_ONLY, TITLE, headline, is_alarm, made_at, number, progress
from api.reports.shown_text import shown
from optimiser.run_sheet import ink
from optimiser.run_sheet.cautions import DEFER
from optimiser.run_sheet.page_template import page_template

TEMPLATE = "report.html.j2"
MOST_ROWS_WITHOUT_AN_ACT = 20
"""Rows shown of a group in which there is nothing to do but wait; the others are shown whole."""
_CUT = frozenset({Group.STILL_VALID, Group.OPEN, Group.WITHDRAWN})
_SAY_ACTION = frozenset({Group.WITHOUT_A_PLAN, Group.OPEN})
"""Groups whose heading leaves open what is to be done."""


@dataclass(frozen=True, kw_only=True)
class Section:
    """One group as printed."""

    anchor: str
    count: int
    heading: str
    says: str
    alarm: bool
    """The stored sheets of the group must not be used."""
    action: str
    """What to do, where that is the same in all rows but more than the heading says; else empty."""
    do_column: bool
    """What to do is not the same in all rows, or there is a sheet to print, so that it stands in each."""
    to_tick: bool
    """Whether each row has a box to tick when it is done."""
    rows: list[Row]
    more: int
    """Rows left out."""


def render_html(report: RevalidationReport, written: Collection[str] = ()) -> str:
    """The whole page; the same report gives the same page, byte for byte. `written` are files that lie beside it."""
    sections = [_section(group, items, written) for group, items in by_group(report.items).items()]
    return _template().render(
        report=report,
        title=TITLE,
        headline=headline(report),
        alarm=is_alarm(report),
        progress=progress(report),
        made_at=made_at(report),
        sections=sections,
        one_resin=_one_resin(report.items),
        how_to_read=HOW_TO_READ,
        this_change_only=THIS_CHANGE_ONLY,
        defer=DEFER,
        number=number,
        ink=ink,
    )


def _section(group: Group, items: Sequence[ReportItem], written: Collection[str]) -> Section:
    shown = items[:MOST_ROWS_WITHOUT_AN_ACT] if group in _CUT else items
    actions = {item.action for item in items}
    return Section(
        anchor=group.name.lower().replace("_", "-"),
        count=len(items),
        heading=WORDS[group].heading,
        says=WORDS[group].says,
        alarm=group in NOT_TO_BE_USED,
        action=items[0].action if group in _SAY_ACTION and len(actions) == 1 else "",
        do_column=len(actions) > 1 or any(item.replan_state for item in shown),
        to_tick=group not in _CUT,
        rows=[row_of(item, written) for item in shown],
        more=len(items) - len(shown),
    )


def _one_resin(items: Sequence[ReportItem]) -> tuple[str, str] | None:
    """Resin and batch, where all items have the same; they need no column then."""
    used = {(item.resin, item.batch) for item in items}
    return used.pop() if len(used) == 1 else None


@cache
def _template() -> Template:
    return page_template(Path(__file__).with_name(TEMPLATE), shown=shown)
