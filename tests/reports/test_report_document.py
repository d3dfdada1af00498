"""The report as JSON: it comes back the same, its times are of one zone, and its sums are right."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta, timezone
from typing import Any

import pytest
from pydantic import ValidationError

from api.reports.report_document import ReportItem, RevalidationReport

MakeItem = Callable[..., ReportItem]
MakeReport = Callable[..., RevalidationReport]

RFC_3339_UTC = re.compile(r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}(\.\d+)?Z")
"""RFC 3339, section 5.6, `date-time` with the offset `Z`."""


def changed(report: RevalidationReport, **fields: Any) -> str:
    return json.dumps({**json.loads(report.model_dump_json()), **fields})


def test_the_report_comes_back_from_its_json(report: RevalidationReport) -> None:
    """What a program reads is what was written, to the last digit, and writing it again gives the same text."""
    text = report.model_dump_json()
    assert RevalidationReport.model_validate_json(text) == report
    assert RevalidationReport.model_validate_json(text).model_dump_json() == text


def test_the_time_is_written_in_utc(make_report: MakeReport) -> None:
    """RFC 3339: 06:31 at two hours east of Greenwich is 04:31Z."""
    there = datetime(2026, 3, 14, 6, 31, tzinfo=timezone(timedelta(hours=2)))
    written = json.loads(make_report([], made_at=there).model_dump_json())["made_at"]
    assert RFC_3339_UTC.fullmatch(written)
    assert datetime.fromisoformat(written) == datetime(2026, 3, 14, 4, 31, tzinfo=UTC)


def test_a_time_without_a_zone_is_refused(make_report: MakeReport) -> None:
    """It would be a guess which morning is meant."""
    with pytest.raises(ValidationError, match="made_at"):
        make_report([], made_at=datetime(2026, 3, 14, 6, 31))


def test_counts_are_those_of_the_items(report: RevalidationReport) -> None:
    """Ten plans: three no longer valid, one given up, one open, one withdrawn, four others."""
    assert (report.asked, report.answered, report.set_aside, report.open) == (10, 7, 1, 1)
    assert report.counts.model_dump() == {
        "no_longer_valid": 3,
        "set_aside": 1,
        "better_exists": 1,
        "new_clock": 1,
        "still_valid": 2,
        "open": 1,
        "withdrawn": 1,
    }


@pytest.mark.parametrize("field", ["asked", "answered", "set_aside", "open"])
def test_a_sum_that_is_not_that_of_the_items_is_refused(report: RevalidationReport, field: str) -> None:
    """A headline that counts fewer plans than the table lists would be believed."""
    with pytest.raises(ValidationError, match="differ from the items"):
        RevalidationReport.model_validate_json(changed(report, **{field: getattr(report, field) + 1}))


def test_counts_that_are_not_those_of_the_items_are_refused(report: RevalidationReport) -> None:
    """The same for the counts by answer."""
    counts = {**report.counts.model_dump(), "no_longer_valid": 0}
    with pytest.raises(ValidationError, match="counts differ"):
        RevalidationReport.model_validate_json(changed(report, counts=counts))


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("margin_after_s", float("nan")),
        ("margin_after_s", "60"),
        ("answer", "perhaps"),
        ("replan_state", "succeeded"),
        ("plan_id", "plan 1"),
        ("colour", "red"),
    ],
)
def test_what_is_not_in_the_contract_is_refused(make_item: MakeItem, field: str, value: object) -> None:
    """Unknown fields and words, numbers that are none, ids that would not stand in an address."""
    with pytest.raises(ValidationError, match=field):
        ReportItem.model_validate({**make_item(1, "still_valid").model_dump(), field: value})


def test_a_report_cannot_be_changed(report: RevalidationReport) -> None:
    """What has been printed and what is stored stay the same."""
    with pytest.raises(ValidationError, match="frozen"):
        report.asked = 0
    with pytest.raises(ValidationError, match="frozen"):
        report.items[0].answer = "still_valid"
