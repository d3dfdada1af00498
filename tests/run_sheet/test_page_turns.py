"""A page turn between steps that are due together is announced at the foot."""

from __future__ import annotations

from typing import Any

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.pdf_marks import begins, ends, turns_at_once
from optimiser.run_sheet.rows import StepGroup, step_groups


def groups_at(fields: dict[str, Any], *times_s: float) -> list[StepGroup]:
    """Groups of one step each, at these times."""
    step = fields["steps"][0]
    fields["steps"] = [
        {
            **step,
            "order": n,
            "expected_at_s": at_s,
            "trigger": {"kind": "reached", "place": str(n), "share": 1.0, "says": f"when resin stands in {n}"},
        }
        for n, at_s in enumerate(times_s, 1)
    ]
    return step_groups(PlanDocument.model_validate(fields))


def pages(*spans: tuple[int, int]) -> dict[str, int]:
    return {name(n): page for n, span in enumerate(spans) for name, page in zip((begins, ends), span, strict=True)}


def test_only_a_turn_within_one_printed_minute_is_announced(fields: dict[str, Any]) -> None:
    """Minutes 8 and 8 across pages 1 and 2: yes. Minutes 8 and 15 across pages 2 and 3: no."""
    groups = groups_at(fields, 455.0, 456.0, 457.0, 887.0)
    assert turns_at_once(groups, pages((1, 1), (1, 1), (2, 2), (3, 3))) == {1}


def test_a_trigger_whose_steps_run_over_the_page_is_announced(fields: dict[str, Any]) -> None:
    """Steps of one trigger are due together, however many pages they take."""
    assert turns_at_once(groups_at(fields, 0.0), pages((1, 3))) == {1, 2}


def test_before_anything_is_laid_out_nothing_is_announced(fields: dict[str, Any]) -> None:
    """The first laying out only counts."""
    assert turns_at_once(groups_at(fields, 0.0, 1.0), {}) == frozenset()
