"""The whole run sheet as plain text blocks: what HTML and PDF both print, so that they cannot differ."""

from __future__ import annotations

from dataclasses import dataclass

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.after import RECORD_BLANKS, after_lines
from optimiser.run_sheet.assumed import assumption_lines
from optimiser.run_sheet.cautions import CAUTIONS, DEFER, Caution
from optimiser.run_sheet.checks_before import Check, Quantity, checks, mix_blanks, mix_lines, quantities
from optimiser.run_sheet.during import LogRow, WhatIf, log_rows, what_ifs
from optimiser.run_sheet.headline import (
    CLOCK_RULE,
    READ_FIRST,
    Fact,
    clock_facts,
    facts,
    is_verified,
    verdict_note,
    verdict_words,
)
from optimiser.run_sheet.identity import footer
from optimiser.run_sheet.reasons import ReasonText, locked_texts, reason_texts
from optimiser.run_sheet.rows import StepGroup, step_groups
from optimiser.run_sheet.wording import to_have


@dataclass(frozen=True, kw_only=True)
class Contents:
    """Everything printed for one plan. A plan that is not verified has reasons and no orders."""

    job: str
    verified: bool
    verdict: str
    verdict_note: str
    proof: str
    facts: list[Fact]
    clock: list[Fact]
    clock_rule: str
    read_first: str
    reasons: list[ReasonText]
    locked: list[str]
    groups: list[StepGroup]
    checks: list[Check]
    quantities: list[Quantity]
    total: str
    mix_lines: list[str]
    mix_blanks: int
    what_ifs: list[WhatIf]
    log_rows: list[LogRow]
    after: list[str]
    record: tuple[str, ...]
    cautions: tuple[Caution, ...]
    defer: str
    warnings: list[str]
    assumptions: list[str]
    footer: str


def contents_of(plan: PlanDocument) -> Contents:
    """Put the plan into words."""
    verified = is_verified(plan)
    return Contents(
        job=plan.case_name,
        verified=verified,
        verdict=verdict_words(plan),
        verdict_note=verdict_note(plan),
        proof=" ".join([plan.proof.statement, *plan.proof.usual_rules]),
        facts=facts(plan),
        clock=clock_facts(plan),
        clock_rule=CLOCK_RULE,
        read_first=READ_FIRST,
        reasons=[] if verified else reason_texts(plan),
        locked=locked_texts(plan),
        groups=step_groups(plan) if verified else [],
        checks=checks(plan) if verified else [],
        quantities=quantities(plan.resin),
        total=to_have(plan.resin.total_kg),
        mix_lines=mix_lines(plan),
        mix_blanks=mix_blanks(plan),
        what_ifs=what_ifs(plan),
        log_rows=log_rows(plan),
        after=after_lines(plan),
        record=RECORD_BLANKS,
        cautions=CAUTIONS,
        defer=DEFER,
        warnings=list(plan.warnings),
        assumptions=assumption_lines(plan),
        footer=footer(plan),
    )
