"""An invented night in an invented yard: stored plans, and what became of each after a change of batch."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest

from api.reports.actions import action_for
from api.reports.compile_report import compile_report
from api.reports.report_document import ReportItem, RevalidationReport

MakeItem = Callable[..., ReportItem]
MakeReport = Callable[..., RevalidationReport]

MADE_AT = datetime(2026, 3, 14, 4, 31, 7, 250_000, tzinfo=UTC)
STOPPED = "STOP AND ASK. On 2 March 2026, 07:30 UTC times on this sheet were found NOT to hold where it was cold."
DONE: Any = {"replan_state": None, "run_state": "done"}
CHANGE = ["Batch B-2207 in place of B-2198.", "Gel time at 20 °C 52 min, was 61 min."]


def item_of(number: int, answer: str, margin_s: float | None = 60.0, **fields: Any) -> ReportItem:
    """An item with the margin given, the other figures to match."""
    answered = answer not in ("set_aside", "open")
    replan_state = fields.get("replan_state")
    usual: dict[str, Any] = {
        "plan_id": f"plan_{number:04}",
        "case_name": f"Launch hull {number}",
        "layout_id": f"layout_{number:04}",
        "layout_revision": 3,
        "resin": "Vinyl ester 40",
        "batch": "B-2207",
        "answer": answer,
        "decided_by": "look_up" if answered else None,
        "wet_out_before_s": 2400.0,
        "wet_out_after_s": 2700.0 - margin_s if answered and margin_s is not None else None,
        "gel_limit_before_s": 3000.0,
        "gel_limit_after_s": 2700.0 if answered else None,
        "margin_before_s": 600.0,
        "margin_after_s": margin_s if answered else None,
        "reason": "The batch is new.",
        "replan_job_id": "job_7" if replan_state else None,
        "replan_plan_id": "plan_new" if replan_state == "verified" else None,
        "replan_state": replan_state,
        "replan_wet_out_s": 2500.0 if replan_state == "verified" else None,
        "action": action_for(answer, replan_state=replan_state, run_state="done"),  # type: ignore[arg-type]
    }
    return ReportItem(**{**usual, **fields})


def report_of(items: list[ReportItem], **fields: Any) -> RevalidationReport:
    usual: dict[str, Any] = {
        "run_id": "reval_0001",
        "made_at": MADE_AT,
        "tapcall_version": "9.8.7",
        "change": CHANGE,
        "state": "done",
    }
    return compile_report(**{**usual, **fields}, items=items)


@pytest.fixture(scope="session")
def make_item() -> MakeItem:
    return item_of


@pytest.fixture(scope="session")
def make_report() -> MakeReport:
    return report_of


@pytest.fixture(scope="session")
def one_of_each() -> list[ReportItem]:
    """One item of each kind, in no order."""
    return [
        item_of(1, "still_valid", 480.0),
        item_of(2, "open"),
        item_of(3, "no_longer_valid", -90.0, replan_state="verified"),
        item_of(4, "new_clock", 130.0),
        item_of(5, "set_aside"),
        item_of(6, "no_longer_valid", -44.0, replan_state="failed"),
        item_of(7, "better_exists", 200.0, replan_state="verified"),
        item_of(8, "no_longer_valid", None),
        item_of(9, "withdrawn", 300.0),
        item_of(10, "still_valid", 250.0, stopped=STOPPED, action=action_for("still_valid", **DONE, stopped=True)),
    ]


@pytest.fixture(scope="session")
def report(one_of_each: list[ReportItem]) -> RevalidationReport:
    return report_of(one_of_each)


HOSTILE = (
    '=HYPERLINK("http://example.invalid","open")',
    "+1+1",
    "-2+3",
    "@SUM(A1:A9)",
    "\t=1+1",
    "\r\n=1+1",
    "＝1+1",
    "#N/A",
    "_x003D_1+1",
    '<script>alert("x")</script>',
    "</style></td></table>",
    "{{ 7 * 7 }} {% raw %} %s",
    "deck \u202etfel\u202c",
    "סיפון ימין",
    'two\nlines, one "quoted" name; it\'s',
    "bell\x07 nul\x00 end",
    "Zeile Ä 前 №4",
    "'quoted'",
    "  blanks  ",
)
"""Names that a program must neither run nor drop nor choke on."""


@pytest.fixture(params=HOSTILE, ids=ascii)
def hostile_name(request: pytest.FixtureRequest) -> str:
    return str(request.param)
