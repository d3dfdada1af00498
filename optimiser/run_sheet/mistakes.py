"""The page that says what one mistake would do."""

from __future__ import annotations

from dataclasses import dataclass

from optimiser.case.mistakes_document import MistakeResult
from optimiser.case.plan_document import PlanDocument
from optimiser.case.shown_label import shown_label
from optimiser.run_sheet.headline import may_be_later
from optimiser.run_sheet.wording import in_one_sense, sentence
from optimiser.units import min_from_s

HEAD = "If one thing goes wrong"
NO_LEAVE = (
    "Calculated: the worst single mistake at each step, with nothing done about it. It permits none of them. "
    "TURNED TOO EARLY, tap or vent, was NOT played and can be worse. "
    "Made one? Say so at once, do not even it out with another tap, write down label and minute. CALL."
)
NOTHING_LEFT = (
    "If the first tap is opened as late as the LATEST FIRST TAP, every minute lost here goes past STOP TIME in the "
    "slow case."
)
"""Where that is the limit less the slow case."""
TOGETHER = "Due together"


@dataclass(frozen=True, kw_only=True)
class MistakeRow:
    """The worst mistake with one step."""

    order: int
    label: str
    happens: str
    does: str
    bad: bool
    """Air is locked, a place stays dry, it gels, may gel or the resin runs out: printed bold."""


@dataclass(frozen=True, kw_only=True)
class MistakePage:
    head: str
    no_leave: str
    heads: tuple[str, ...]
    rows: list[MistakeRow]
    together: str
    close: list[str]
    statement: str


def mistake_page(plan: PlanDocument) -> MistakePage | None:
    """None where mistakes were not played."""
    if plan.mistakes is None:
        return None
    worst = sorted((one for one in plan.mistakes.results if one.worst_of_step), key=lambda one: one.step)
    return MistakePage(
        head=HEAD,
        no_leave=f"{NO_LEAVE} {NOTHING_LEFT}" if plan.gel_clock is None or may_be_later(plan) else NO_LEAVE,
        heads=("Step", "Label", "If it is", "Then"),
        rows=[_row(one, plan, plan.mistakes.late_by_s) for one in worst],
        together=TOGETHER,
        close=[in_one_sense(one.says) for one in plan.mistakes.close],
        statement=plan.mistakes.statement,
    )


def _row(one: MistakeResult, plan: PlanDocument, late_by_s: float) -> MistakeRow:
    return MistakeRow(
        order=one.step,
        label=_shown(plan, one.step, one.label),
        happens=_happens(one, plan, late_by_s),
        does=sentence(one.does),
        bad=not one.nothing_flows and not _spoils_nothing(one),
    )


def _spoils_nothing(one: MistakeResult) -> bool:
    return one.clean and one.in_time and one.resin_runs_out_s is None and not one.may_pass_stop_time


def _shown(plan: PlanDocument, order: int | None, label: str | None) -> str:
    """As on the tap table."""
    kinds = {step.order: step.kind for step in plan.steps}
    return shown_label(label or "", kinds[order]) if order in kinds else label or ""


def _happens(one: MistakeResult, plan: PlanDocument, late_by_s: float) -> str:
    match one.mistake:
        case "skipped":
            return "Forgotten"
        case "late":
            return f"{min_from_s(late_by_s):.0f} min late"
        case "swapped_with_next":
            return f"Mixed up with step {one.other_step} ({_shown(plan, one.other_step, one.other_label)})"
