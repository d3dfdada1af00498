"""A report in words: what the answers are called, what must be done this morning, how far the run is."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Final

from api.reports.groups import NOT_TO_BE_USED, group_of
from api.reports.report_document import Answer, DecidedBy, ReplanState, ReportItem, RevalidationReport, RunState
from optimiser.run_sheet.typeface import NO_BREAK

TITLE: Final = "Stored plans after a change"

ANSWERS: Final[dict[Answer, str]] = {
    "no_longer_valid": "no longer valid",
    "set_aside": "no answer found",
    "better_exists": "better plan exists",
    "new_clock": "new times",
    "still_valid": "still valid",
    "open": "not answered yet",
    "withdrawn": "withdrawn since",
}

DECIDED_BY: Final[dict[DecidedBy | None, str]] = {
    None: "",
    "look_up": "look-up",
    "full_run": "full run",
}

REPLANS: Final[dict[ReplanState | None, str]] = {
    None: "",
    "queued": "waiting",
    "running": "being made",
    "verified": "verified",
    "not_admissible": "No sequence found: do not infuse with this",
    "failed": "failed",
    "cancelled": "cancelled",
    "withdrawn": "withdrawn: do not infuse with this",
}

_STATES: Final[dict[RunState, str]] = {
    "running": "The run is still going",
    "done": "The run is finished",
    "cancelled": "The run was cancelled",
    "failed": "The run failed",
}

HOW_TO_READ: Final = (
    "Sheet is the number at the foot of the printed run sheet and on its tap labels. "
    "Minutes from the start of the shot. Margin is gel limit less wet-out; below nought the resin gels too soon. "
    "Wet-out is rounded up, gel limit and margin down, to a tenth of a minute."
)

THIS_CHANGE_ONLY: Final = (
    "Each plan is judged against what it was made for plus this change only. Not in it: changes of earlier runs."
)


def headline(report: RevalidationReport) -> str:
    """The one thing to know."""
    counts = report.counts
    without = counts.set_aside + counts.open
    if counts.no_longer_valid:
        more = f", {number(without)} more {_have(without)} no answer" if without else ""
        return f"{_sheets(counts.no_longer_valid)} must not be used{more}."
    if without:
        return f"{_sheets(without)} must not be used yet: no answer."
    if counts.new_clock:
        return f"{_sheets(counts.new_clock)} must not be used as printed: times have changed."
    if stopped := sum(bool(item.stopped) for item in report.items):
        return f"{_sheets(stopped)} must not be used before somebody has asked: stopped by another run."
    if counts.better_exists:
        return f"{_sheets(counts.better_exists)} may give way to a better one."
    if counts.withdrawn:
        return "Nothing to do: every stored sheet that is not withdrawn holds."
    return "Nothing to do: every stored sheet holds." if report.asked else "No stored plan was looked at."


def is_alarm(report: RevalidationReport) -> bool:
    """Whether any stored sheet must not be used, or not yet."""
    return any(group_of(item) in NOT_TO_BE_USED for item in report.items)


def progress(report: RevalidationReport) -> str:
    """How far the run is, and what is still to come."""
    answered = f"{_STATES[report.state]}: {number(report.answered)} of {_plans(report.asked)} {_have(report.answered)}"
    later = " Look again later: this page is of one moment." if report.state == "running" else ""
    withdrawn = f", {number(report.counts.withdrawn)} withdrawn since" if report.counts.withdrawn else ""
    return f"{answered} an answer{withdrawn}.{later}"


def made_at(report: RevalidationReport) -> str:
    """When the report was made, by the clock on the wall and in UTC."""
    return local_and_utc(report.made_at)


def local_and_utc(at: datetime) -> str:
    """To the minute, as RFC 3339 (section 5.6) lets it be written for reading: a blank for the T."""
    local, utc = at.astimezone(), f"{at.astimezone(UTC):%Y-%m-%d %H:%M} UTC"
    return utc if local.tzname() == "UTC" else f"{local:%Y-%m-%d %H:%M %Z} ({utc})"


def planned_again(item: ReportItem) -> str:
    """What came of planning it again; what may not be infused with is never called a plan."""
    if item.answer == "new_clock" and item.replan_state == "not_admissible":
        return "Not admissible when played again: do not infuse with this"
    return REPLANS[item.replan_state]


def has_new_sheet(item: ReportItem) -> bool:
    """Whether there is a sheet that may be printed in place of the stored one."""
    return item.replan_state == "verified" and item.replan_plan_id is not None


def layout(item: ReportItem) -> str:
    """'revision 3'; empty where the case was sent in whole."""
    return "" if item.layout_revision is None else f"revision {item.layout_revision}"


def ended(text: str) -> str:
    """With the mark that ends a sentence, once."""
    return text if text.endswith((".", "?", "!")) else f"{text}."


def number(count: int) -> str:
    """Thousands set apart by a blank that does not break."""
    return f"{count:,}".replace(",", NO_BREAK)


def _sheets(count: int) -> str:
    return f"{number(count)} stored sheet{'' if count == 1 else 's'}"


def _plans(count: int) -> str:
    return f"{number(count)} plan{'' if count == 1 else 's'}"


def _have(count: int) -> str:
    return "has" if count == 1 else "have"
