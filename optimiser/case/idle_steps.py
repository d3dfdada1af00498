"""Steps of a given sequence that the shot never comes to."""

from __future__ import annotations

from collections.abc import Iterator

from optimiser.case.plan_document import PlannedStep


def idle_steps(steps: list[PlannedStep], wet_out_s: float | None) -> Iterator[str]:
    """Where all is wet before their turn: they stand on the sheet, and somebody would wait for them or do them."""
    if wet_out_s is None:
        return
    for step in steps:
        if step.expected_at_s is None:
            yield (
                f"step {step.order}, {step.action} {step.label} {step.trigger.says}: all is wet before its turn; "
                "leave it out of the sequence, or bring it forward"
            )
