"""What tells one sheet from another: printed at the foot of every page, on every label and on the map."""

from __future__ import annotations

import hashlib

from optimiser.case.plan_document import PlanDocument

_SHORT = 8


def sheet_mark(plan: PlanDocument) -> str:
    """Short digest of the whole plan: sheet, map and labels that belong together carry the same mark."""
    return hashlib.sha256(plan.model_dump_json().encode()).hexdigest()[:_SHORT].upper()


def footer(plan: PlanDocument) -> str:
    """Sheet mark, short case digest and versions, in one line."""
    return (
        f"sheet {sheet_mark(plan)} · case {plan.case_digest[:_SHORT]} · "
        f"tapcall {plan.tapcall_version} · plan format {plan.schema_version} · seed {plan.seed}"
    )
