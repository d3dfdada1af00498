"""The taps and vents of a plan, each with the steps that turn it: for labels and for the checks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from optimiser.case.plan_document import PlanDocument, PlannedStep


@dataclass(frozen=True, kw_only=True)
class Tap:
    """One thing to turn or to clamp, with one label."""

    label: str
    """As on the hose end, the manifold and the sheet."""
    line: str
    """Name of the line that its sections share, or of the vent."""
    kind: Literal["line", "vent"]
    steps: tuple[PlannedStep, ...]
    """Its steps in order; none: it stays as it is before the start."""

    @property
    def order(self) -> int | None:
        return self.steps[0].order if self.steps else None


def taps_of(plan: PlanDocument) -> list[Tap]:
    """Every tap and vent once: by order of their first step, then those without one, as listed."""
    names: dict[str, tuple[str, Literal["line", "vent"]]] = {line.label: (line.line, "line") for line in plan.lines}
    for run in plan.map.runs:
        names.setdefault(run.label, (run.label, run.kind))
    for step in plan.steps:
        names.setdefault(step.label, (step.line, step.kind))
    steps = sorted(plan.steps, key=lambda step: step.order)
    taps = [
        Tap(label=label, line=line, kind=kind, steps=tuple(step for step in steps if step.label == label))
        for label, (line, kind) in names.items()
    ]
    return sorted(taps, key=lambda tap: (tap.order is None, tap.order or 0))
