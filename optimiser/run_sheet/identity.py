"""What tells one sheet from another: printed at the foot of every page, on every label and on the map."""

from __future__ import annotations

import hashlib
import json

from pydantic import Field

from optimiser.case.plan_document import PlanDocument

_SHORT = 8


class KeptPlan(PlanDocument):
    """A plan that was read from where it is kept."""

    kept_sha256: str = Field(exclude=True)
    """Of its text as it is kept: a later version of the program might write it otherwise."""
    alarm: str = Field(default="", exclude=True)
    """What the crew must hear before anything else, in a sentence or two; empty: nothing."""


def kept_plan(text: str) -> KeptPlan:
    """The plan from the text that it is kept as; whatever version of the program wrote it, its mark stays."""
    return KeptPlan.model_validate({**json.loads(text), "kept_sha256": _sha256(text)})


def sheet_mark(plan: PlanDocument) -> str:
    """Short digest of the whole plan: sheet, map and labels that belong together carry the same mark."""
    digest = plan.kept_sha256 if isinstance(plan, KeptPlan) else _sha256(plan.model_dump_json())
    return digest[:_SHORT].upper()


def alarm(plan: PlanDocument) -> str:
    """That of a kept plan; empty for any other."""
    return plan.alarm if isinstance(plan, KeptPlan) else ""


def footer(plan: PlanDocument) -> str:
    """Sheet mark, short case digest and versions, in one line."""
    return (
        f"sheet {sheet_mark(plan)} · case {plan.case_digest[:_SHORT]} · "
        f"tapcall {plan.tapcall_version} · plan format {plan.schema_version} · seed {plan.seed}"
    )


def _sha256(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()
