"""Tap labels: three alike for each tap and vent."""

from __future__ import annotations

import io
from typing import Any

from pypdf import PdfReader

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.identity import sheet_mark
from optimiser.run_sheet.tap_labels import render_tap_labels_pdf


def words_of(file: bytes) -> list[str]:
    """Words in the file as pypdf extracts them."""
    return " ".join(page.extract_text() for page in PdfReader(io.BytesIO(file)).pages).split()


def test_each_tap_and_vent_has_three_labels(plan: PlanDocument) -> None:
    """Hose end, manifold and sheet: the same label, with the mark that ties it to its run sheet."""
    words = words_of(render_tap_labels_pdf(plan))
    labels = {step.label for step in plan.steps}
    assert {label: words.count(label) for label in labels} == dict.fromkeys(labels, 3)
    assert words.count(sheet_mark(plan)) >= 3 * 17


def test_the_disc_of_a_label_has_its_word(plan: PlanDocument) -> None:
    """A bare number beside 'TAP 2' is read as another tap: 'STEP' stands above it, once on each label."""
    words = words_of(render_tap_labels_pdf(plan))
    orders = {step.label: step.order for step in plan.steps}
    for label, order in orders.items():
        (*_, at) = [n for n, word in enumerate(words) if word == label]
        assert f"STEP {order}" in " ".join(words[max(0, at - 12) : at + 1]) + " ", label
    assert words.count("STEP") >= 3 * len(orders)


def test_the_flush_valve_has_labels_too(plan: PlanDocument) -> None:
    """Every manifold is filled through it, and it is no tap of the part."""
    text = " ".join(words_of(render_tap_labels_pdf(plan)))
    assert text.count("FLUSH VALVE") == 3
    assert text.count("far end of the manifold · SHUT, opened A LITTLE only where the sheet says so") == 3


def test_labels_print_the_same_every_time(plan: PlanDocument) -> None:
    """No clock goes into them."""
    assert render_tap_labels_pdf(plan) == render_tap_labels_pdf(plan)


def test_an_unused_tap_says_keep_shut(fields: dict[str, Any]) -> None:
    """A tap without a step still gets labels, with the one thing to know."""
    fields["steps"] = [step for step in fields["steps"] if step["label"] != "2-AFT"]
    words = words_of(render_tap_labels_pdf(PlanDocument.model_validate(fields)))
    assert words.count("KEEP") == 3


def test_a_tap_turned_twice_shows_both_steps(fields: dict[str, Any]) -> None:
    """Open and close stand on one label."""
    fields["steps"].append({**fields["steps"][0], "order": 18, "action": "close"})
    words = words_of(render_tap_labels_pdf(PlanDocument.model_validate(fields)))
    assert " ".join(words).count("SHUT until STEP 1, close at STEP 18") == 3


def test_a_vent_is_open_from_the_start_and_clamped_at_one_step_only(plan: PlanDocument) -> None:
    """Nobody clamps it at the start because its label carries a number."""
    text = " ".join(words_of(render_tap_labels_pdf(plan)))
    assert text.count("VENT, OPEN FROM THE START, clamp only at STEP 16") == 3
    assert text.count("line 2 · SHUT until STEP 4") == 3


def test_a_label_of_figures_only_carries_its_word(fields: dict[str, Any]) -> None:
    """TAP 2 beside step 1: the two numbers are told apart; the line is 'line 2' too."""
    old = fields["steps"][0]["label"]
    for named in (*fields["steps"], *fields["lines"], *fields["map"]["runs"]):
        if named["label"] == old:
            named.update(label="2", **({"line": "2"} if "line" in named else {}))
    text = " ".join(words_of(render_tap_labels_pdf(PlanDocument.model_validate(fields))))
    assert text.count("TAP 2") == 3
    assert text.count("line 2 · SHUT until STEP 1") >= 3


def test_the_job_is_not_cut_off(fields: dict[str, Any]) -> None:
    """A long name is set smaller."""
    fields["case_name"] = (
        "Hull side of the second boat of the spring series, mould 4, port, with the long keel"
    )
    text = " ".join(words_of(render_tap_labels_pdf(PlanDocument.model_validate(fields))))
    assert fields["case_name"] in text


def test_a_refused_plan_gets_no_labels(failing_plan: PlanDocument) -> None:
    """Only the refusal is printed."""
    words = words_of(render_tap_labels_pdf(failing_plan))
    assert " ".join(words).startswith("DO NOT INFUSE FROM THIS SHEET")
    assert "1-MID" not in words
