"""What a planner is to do about one stored plan, in one sentence."""

from __future__ import annotations

from typing import Final

from api.reports.report_document import Answer, ReplanState, RunState

_PRINT: Final = "print new run sheet AND tap labels; take the old ones down"
_MAKE: Final = "run again with --plan-again invalid"

_BY_REPLAN: dict[ReplanState | None, str] = {
    None: f"Do not use the stored sheet: there is no new one yet, {_MAKE}.",
    "queued": "Do not use the stored sheet: wait for the new plan.",
    "running": "Do not use the stored sheet: wait for the new plan.",
    "verified": f"Do not use the stored sheet: {_PRINT}.",
    "not_admissible": "Do not use the stored sheet: change layout or resin, as no other sequence was found.",
    "failed": "Do not use the stored sheet: plan again, as the last try failed.",
    "cancelled": "Do not use the stored sheet: plan again, as the last try was cancelled.",
    "withdrawn": "Do not use the stored sheet, nor the new one: that was withdrawn; change layout or resin.",
}

_BY_ANSWER: dict[Answer, str] = {
    "set_aside": "Do not use the stored sheet before it is checked: the run could not answer.",
    "better_exists": "The new plan is better: print run sheet AND tap labels of it; take the old ones down.",
    "still_valid": "Nothing to do.",
    "withdrawn": "Withdrawn: see that all its copies are down.",
}

_NEW_CLOCK: dict[ReplanState | None, str] = {
    None: f"Do not use the stored sheet as printed: no new one yet, {_MAKE}.",
    "queued": "Do not use the stored sheet as printed: wait for the new one.",
    "running": "Do not use the stored sheet as printed: wait for the new one.",
    "verified": f"Do not use the stored sheet as printed: {_PRINT}.",
    "not_admissible": "Do not use the stored sheet: played again, its sequence was not admissible; plan it again.",
    "failed": f"Do not use the stored sheet as printed: the new one failed, {_MAKE}.",
    "cancelled": f"Do not use the stored sheet: the new one was cancelled, {_MAKE}.",
    "withdrawn": "Do not use the stored sheet, nor the new one: that was withdrawn; plan it again.",
}

_WAIT = "Do not use the stored sheet yet: wait for its answer."
_NEVER_ANSWERED = "Do not use the stored sheet before it is checked: the run ended without an answer."


_STOPPED = "Do not use the stored sheet before somebody has asked: STOP stands on it from another run."


def action_for(
    answer: Answer, *, replan_state: ReplanState | None, run_state: RunState, stopped: bool = False
) -> str:
    """The sentence for `ReportItem.action`. What has no answer is never taken for valid."""
    if stopped:
        return _STOPPED
    if answer == "no_longer_valid":
        return _BY_REPLAN[replan_state]
    if answer == "new_clock":
        return _NEW_CLOCK[replan_state]
    if answer == "open":
        return _WAIT if run_state == "running" else _NEVER_ANSWERED
    return _BY_ANSWER[answer]
