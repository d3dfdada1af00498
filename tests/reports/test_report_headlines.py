"""The one line at the top, for every kind of morning."""

from __future__ import annotations

import time
from collections.abc import Callable

import pytest

from api.reports.report_document import ReportItem, RevalidationReport
from api.reports.report_words import headline, is_alarm, made_at, number, progress

MakeItem = Callable[..., ReportItem]
MakeReport = Callable[..., RevalidationReport]


@pytest.mark.parametrize(
    ("answers", "says", "alarm"),
    [
        (["no_longer_valid"], "1 stored sheet must not be used.", True),
        (["no_longer_valid", "open", "set_aside"], "1 stored sheet must not be used, 2 more have no answer.", True),
        (["new_clock", "open"], "1 stored sheet must not be used yet: no answer.", True),
        (["set_aside", "set_aside"], "2 stored sheets must not be used yet: no answer.", True),
        (["new_clock", "better_exists"], "1 stored sheet must not be used as printed: times have changed.", True),
        (["better_exists", "still_valid"], "1 stored sheet may give way to a better one.", False),
        (["still_valid"], "Nothing to do: every stored sheet holds.", False),
        ([], "No stored plan was looked at.", False),
    ],
)
def test_the_worst_is_said_first(
    make_item: MakeItem, make_report: MakeReport, answers: list[str], says: str, alarm: bool
) -> None:
    """And only what holds in all cases is told as good news."""
    report = make_report([make_item(n, answer) for n, answer in enumerate(answers)])
    assert (headline(report), is_alarm(report)) == (says, alarm)


@pytest.mark.parametrize(
    ("state", "says"),
    [
        (
            "running",
            "The run is still going: 1 of 2 plans has an answer. Look again later: this page is of one moment.",
        ),
        ("cancelled", "The run was cancelled: 1 of 2 plans has an answer."),
        ("failed", "The run failed: 1 of 2 plans has an answer."),
    ],
)
def test_a_run_that_is_not_whole_says_so(make_item: MakeItem, make_report: MakeReport, state: str, says: str) -> None:
    """Whatever the headline says, the line below tells how far it can be trusted."""
    assert progress(make_report([make_item(1, "still_valid"), make_item(2, "open")], state=state)) == says


def test_the_time_is_written_for_reading(report: RevalidationReport) -> None:
    """RFC 3339, section 5.6, allows a blank in place of the T; seconds say nothing to a planner."""
    assert made_at(report) == "2026-03-14 04:31 UTC"


def test_the_time_is_that_of_the_clock_on_the_wall_too(
    report: RevalidationReport, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With its zone as POSIX writes it (TZ, IEEE Std 1003.1, 8.3, from memory); here one hour east of UTC."""
    try:
        with monkeypatch.context() as there:
            there.setenv("TZ", "CET-1")
            time.tzset()
            assert made_at(report) == "2026-03-14 05:31 CET (2026-03-14 04:31 UTC)"
    finally:
        time.tzset()


def test_thousands_are_set_apart() -> None:
    """By a blank, as ISO 80000-1 has it (from memory), and one that does not break: U+00A0."""
    assert number(10_000) == "10\u00a0000"
    assert number(999) == "999"
