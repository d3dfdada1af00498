"""Documents as earlier versions wrote them are read as they were meant; none of these files is ever changed.

A new schema version adds files beside them.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from api.reports.as_html import render_html as render_report
from api.reports.report_document import RevalidationReport
from optimiser.case.change_document import read_change
from optimiser.case.check_sequence import check_sequence
from optimiser.case.plan_document import PlanDocument
from optimiser.case.read_case import read_case
from optimiser.case.read_sequence import read_sequence
from optimiser.case.resin_sheet_document import read_resin_sheet
from optimiser.revalidation.answer import Answer
from optimiser.revalidation.facts import facts_from_plain, facts_of, facts_to_plain
from optimiser.revalidation.look_up import look_up
from optimiser.run_sheet.html import render_html
from optimiser.run_sheet.pdf import render_pdf

DOCUMENTS = Path(__file__).parent / "documents"
PLANS = sorted(DOCUMENTS.glob("plan_*.json"))
CASE_DIGEST = "802eb7a2fe6d68594b8d074829772a13775f593307321e5baf28eefeda295538"


@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.stem)
def test_a_plan_is_read_and_printed(path: Path) -> None:
    """The sheet of a stored plan can be printed again, years later."""
    plan = PlanDocument.model_validate_json(path.read_bytes())
    assert plan.case_name in render_html(plan)
    assert render_pdf(plan).startswith(b"%PDF")


def test_a_case_keeps_its_digest() -> None:
    """Plans point to it: a digest that changed would cut every stored plan off from its case."""
    assert read_case(DOCUMENTS / "case_1.yaml").digest == CASE_DIGEST


def test_a_plan_points_to_its_case() -> None:
    """By the digest that reading the case gives today."""
    plan = PlanDocument.model_validate_json((DOCUMENTS / "plan_1.json").read_bytes())
    assert plan.case_digest == CASE_DIGEST


def test_a_sequence_and_the_plan_itself_can_be_played() -> None:
    """Both are sequences that suit the case they were written for."""
    shot = read_case(DOCUMENTS / "case_1.yaml").shot
    for name in ("sequence_1.yaml", "plan_1.json"):
        assert not check_sequence(read_sequence(DOCUMENTS / name), shot)


def test_facts_are_those_of_the_plan() -> None:
    """What was kept beside a plan is what would be drawn from it today."""
    kept = json.loads((DOCUMENTS / "facts_1.json").read_bytes())
    plan = PlanDocument.model_validate_json((DOCUMENTS / "plan_1.json").read_bytes())
    drawn = facts_to_plain(facts_of(read_case(DOCUMENTS / "case_1.yaml"), plan))
    assert json.loads(json.dumps(drawn)) == kept


def test_a_kept_change_is_judged_on_kept_facts() -> None:
    """A run that was begun by an earlier version goes on with this one."""
    facts = facts_from_plain(json.loads((DOCUMENTS / "facts_1.json").read_bytes()))
    change = read_change({"gel_test": json.loads((DOCUMENTS / "change_1.json").read_bytes())["gel_test"]})
    assert isinstance(look_up(facts, change), Answer)


def test_a_resin_and_a_report_are_read() -> None:
    """Each as its own kind of document."""
    sheet = read_resin_sheet(DOCUMENTS / "resin_1.json")
    assert [batch.batch for batch in sheet.document.batches] == ["B-9"]
    report = RevalidationReport.model_validate_json((DOCUMENTS / "report_1.json").read_bytes())
    assert "tiny panel" in render_report(report)
