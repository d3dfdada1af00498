"""What a planner is to do about one stored plan, in one sentence."""

from __future__ import annotations

from api.reports.report_document import Answer, ReplanState, RunState

_BY_REPLAN: dict[ReplanState | None, str] = {
    None: "Do not use the stored sheet: plan again.",
    "queued": "Do not use the stored sheet: wait for the new plan.",
    "running": "Do not use the stored sheet: wait for the new plan.",
    "verified": "Do not use the stored sheet: print the new one.",
    "not_admissible": "Do not use the stored sheet: change layout or resin, as no other sequence was found.",
    "failed": "Do not use the stored sheet: plan again, as the last try failed.",
    "cancelled": "Do not use the stored sheet: plan again, as the last try was cancelled.",
}

_BY_ANSWER: dict[Answer, str] = {
    "set_aside": "Do not use the stored sheet before it is checked: the run could not answer.",
    "better_exists": "Print the new sheet: it is better.",
    "still_valid": "Nothing to do.",
}

_NEW_CLOCK: dict[ReplanState | None, str] = {
    None: "Have a new sheet made and print that: times have changed.",
    "queued": "Wait for the new sheet and print that: times have changed.",
    "running": "Wait for the new sheet and print that: times have changed.",
    "verified": "Print the new sheet: times have changed.",
    "not_admissible": "Have a new sheet made and print that: played again, the sequence was not admissible.",
    "failed": "Have a new sheet made and print that: times have changed, and the last try failed.",
    "cancelled": "Have a new sheet made and print that: times have changed, and the last try was cancelled.",
}

_WAIT = "Do not use the stored sheet yet: wait for its answer."
_NEVER_ANSWERED = "Do not use the stored sheet before it is checked: the run ended without an answer."


def action_for(answer: Answer, *, replan_state: ReplanState | None, run_state: RunState) -> str:
    """The sentence for `ReportItem.action`. What has no answer is never taken for valid."""
    if answer == "no_longer_valid":
        return _BY_REPLAN[replan_state]
    if answer == "new_clock":
        return _NEW_CLOCK[replan_state]
    if answer == "open":
        return _WAIT if run_state == "running" else _NEVER_ANSWERED
    return _BY_ANSWER[answer]
