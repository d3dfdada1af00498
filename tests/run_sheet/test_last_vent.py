"""Vents: which part of one fills last, and the feeds that are shut before the last one."""

from __future__ import annotations

import io
from typing import Any

import pytest
from pypdf import PdfReader

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.along_vent import fills_along
from optimiser.run_sheet.ending import ending
from optimiser.run_sheet.go_ahead import how_to_read
from optimiser.run_sheet.html import render_html
from optimiser.run_sheet.pdf import render_pdf
from optimiser.run_sheet.rows import every_row, step_groups
from optimiser.run_sheet.tap_labels import render_tap_labels_pdf

LENGTH_MM, FROM_S, TO_S = 4_800.0, 1_200.0, 1_500.0
COURSES = {
    "middle first": (lambda s: abs(2 * s - 1), "As planned its middle fills first, both ends last."),
    "ends first": (lambda s: 1 - abs(2 * s - 1), "As planned both ends fill first, its middle last."),
    "one way": (lambda s: s, "As planned its end at x 0.1 m fills first, its end at x 4.7 m last."),
    "one end last": (
        lambda s: max((0.4 - s) / 2, (s - 0.4) / 0.6),
        "As planned its middle fills first, its end at x 4.7 m last.",
    ),
    "all at once": (lambda _: 0.0, ""),
}


def with_vent(fields: dict[str, Any], course: Any) -> PlanDocument:
    """Cells along one straight vent, wet between minute 20 and 25 as the course says; the last step clamps it."""
    xs = [50.0 + 100.0 * k for k in range(48)]
    run = {"label": "V", "kind": "vent", "order": 1, "run_mm": [(100.0, 50.0), (LENGTH_MM - 100.0, 50.0)]}
    wet = [FROM_S + (TO_S - FROM_S) * course((x - 100.0) / (LENGTH_MM - 200.0)) for x in xs]
    fields["map"] |= {"runs": [run], "x_mm": xs, "y_mm": [50.0] * len(xs), "wet_s": wet}
    fields["steps"][-1] |= {"label": "V"}
    fields["steps"][-1]["trigger"] |= {"place": "V"}
    return PlanDocument.model_validate(fields)


@pytest.mark.parametrize(("course", "said"), COURSES.values(), ids=COURSES)
def test_the_trigger_says_which_part_of_a_vent_is_last(fields: dict[str, Any], course: Any, said: str) -> None:
    """By the map, on paper and screen; half a minute between first and last is nothing to wait for."""
    plan = with_vent(fields, course)
    assert fills_along(plan, plan.steps[-1]) == said
    assert step_groups(plan)[-1].along == said
    assert said in render_html(plan)


def test_of_a_vent_that_stays_dry_somewhere_nothing_is_said(fields: dict[str, Any]) -> None:
    """Nor of a clamp that waits for something else, nor of a tap."""
    plan = with_vent(fields, lambda s: s)
    fields["map"]["wet_s"][7] = None
    dry = PlanDocument.model_validate(fields)
    assert fills_along(dry, dry.steps[-1]) == ""
    assert all(fills_along(plan, step) == "" for step in plan.steps[:-1])


def test_feeds_are_shut_before_the_last_vent(plan: PlanDocument, machine_plan: PlanDocument) -> None:
    """A box above its clamp and no other; the machine stops first. Common practice, no source."""
    for one, stops in ((plan, False), (machine_plan, True)):
        told = [row for row in every_row(step_groups(one)) if row.first]
        assert [row.label for row in told] == [one.steps[-1].label]
        all_wet, feeds = told[0].first
        assert all_wet.do.startswith("ALL WET: seen end to end, person in charge says so"), "signed before the clamp"
        assert ending(one).all_wet == "", "and once"
        assert "EVERY FEED TAP SHUT, only then CLAMP V-FWD." in feeds.do
        assert f"LEFT OPEN as decided: STEP {told[0].order} IS NOT DONE" in feeds.do
        assert ("MACHINE STOPPED" in feeds.do) is stops
        assert any("NEVER ALL VENTS CLAMPED WHILE A FEED IS OPEN" in line for line in how_to_read(one))


def test_every_clamp_asks_whether_it_is_the_last_open_vent(plan: PlanDocument) -> None:
    """In the shot another vent may be the last than in the plan: at the other clamps, on paper, on screen and on every
    vent's labels. Common practice, no source."""
    clamps = [row for row in every_row(step_groups(plan)) if row.action == "CLAMP"]
    asked = "LAST OPEN VENT? Every feed shut first"
    assert [asked in row.beware for row in clamps] == [True] * (len(clamps) - 1) + [False], "the last has its own box"
    assert not any(row.beware for row in every_row(step_groups(plan)) if row.action != "CLAMP")
    assert asked in render_html(plan)
    labels = PdfReader(io.BytesIO(render_tap_labels_pdf(plan)))
    said = " ".join(" ".join(page.extract_text().split()) for page in labels.pages)
    assert said.count(asked) == 3 * len(clamps)


def test_where_a_vent_stays_open_nothing_is_shut_for_it(fields: dict[str, Any]) -> None:
    """Nor where the plan has closed every tap before, or opens one afterwards."""
    stays, closed, opens = (dict(fields) for _ in range(3))
    stays["steps"] = fields["steps"][:-1]
    last = fields["steps"][-1]["order"]
    shut = [step | {"order": last + k, "action": "close"} for k, step in enumerate(fields["steps"][:15])]
    closed["steps"] = [*fields["steps"][:-1], *shut, fields["steps"][-1] | {"order": last + 20}]
    opens["steps"] = [*fields["steps"], fields["steps"][0] | {"order": last + 1}]
    for one in (stays, closed, opens):
        plan = PlanDocument.model_validate(one)
        assert not any(row.first for row in every_row(step_groups(plan)))
        assert any(line.startswith("Feeds: SHUT") for line in ending(plan).decided)


def test_catch_pots_are_not_opened_under_vacuum(plan: PlanDocument) -> None:
    """Beside the flush pot under the last step, and after the shot. Common practice, no source."""
    (pots,) = [line for line in ending(plan).decided if line.startswith("CATCH POTS")]
    assert "only when its vent is CLAMPED AT THE PART, line to the pump shut, vacuum let go slowly" in pots
    assert "Catch pots and flush pot: NEVER opened under vacuum." in render_html(plan)


def test_how_kilograms_are_read_stands_at_the_steps(
    plan: PlanDocument, machine_plan: PlanDocument, tmp_path: Any
) -> None:
    """At the head of each page with steps after the first; a machine's counter needs no sum."""
    said = "kg in = scale at zero + poured in since"
    file = tmp_path / "sheet.pdf"
    file.write_bytes(render_pdf(plan))
    pages = [page.extract_text() for page in PdfReader(file).pages]
    assert any(said in text and "CLAMP" in text for text in pages)
    assert said in render_html(plan)
    assert said not in render_html(machine_plan)
