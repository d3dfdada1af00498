"""One item judged: from the kept facts alone, or by playing the sequence again."""

from __future__ import annotations

import json
from functools import lru_cache

from api.revalidation.items import Judged
from optimiser.case.change_document import ChangeDocument
from optimiser.case.read_text import read_data
from optimiser.revalidation.answer import Answer, CannotJudge
from optimiser.revalidation.facts import Facts, facts_from_plain
from optimiser.revalidation.look_up import look_up
from optimiser.revalidation.replay import replay


def looked_up(facts: str, change: ChangeDocument) -> Judged | None:
    """None where only the runs can tell."""
    try:
        kept = facts_from_plain(json.loads(facts))
    except (KeyError, TypeError, ValueError):
        return Judged(answer=None, decided_by=None, reason="what was kept of the plan is of another version")
    found = look_up(kept, at_level_of(kept, change))
    return judged(found) if isinstance(found, Answer | CannotJudge) else None


def played(case: bytes, facts: str, change: str) -> Judged:
    """For a process of its own: plain arguments, and an answer in any case but a broken one."""
    kept = facts_from_plain(json.loads(facts))
    data = read_data(case)
    assert isinstance(data, dict)
    return judged(replay(data, kept, at_level_of(kept, ChangeDocument.model_validate_json(change))))


def at_level_of(facts: Facts, change: ChangeDocument) -> ChangeDocument:
    """Another resin, and no word of the level: each shot keeps its own."""
    if change.resin is None or change.initiator_level_percent is not None:
        return change
    return _at_level(change.model_dump_json(), facts.resin.initiator.level_percent)


@lru_cache(maxsize=256)
def _at_level(change: str, level_percent: float) -> ChangeDocument:
    said = ChangeDocument.model_validate_json(change)
    return said.model_copy(update={"initiator_level_percent": level_percent})


def judged(found: Answer | CannotJudge) -> Judged:
    if isinstance(found, CannotJudge):
        return Judged(answer=None, decided_by=None, reason=found.reason)
    return Judged(
        answer=found.kind,
        decided_by=found.way,
        reason=found.reason,
        wet_out_before_s=found.wet_out_before_s,
        wet_out_after_s=found.wet_out_after_s,
        gel_limit_before_s=found.gel_limit_before_s,
        gel_limit_after_s=found.gel_limit_after_s,
    )
