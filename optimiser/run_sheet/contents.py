"""The whole run sheet as plain text blocks: what HTML and PDF both print, so that they cannot differ."""

from __future__ import annotations

from dataclasses import dataclass

from optimiser.case.advice_words import advice_lines
from optimiser.case.conflict_words import conflict_lines
from optimiser.case.plan_document import PlanDocument
from optimiser.case.remedy_words import remedy_lines
from optimiser.case.tool_side import tool_side_lines
from optimiser.run_sheet.after import RECORD_BLANKS, after_lines
from optimiser.run_sheet.assumed import assumption_lines
from optimiser.run_sheet.cautions import DEFER, Caution, cautions_of
from optimiser.run_sheet.check import CheckGroup
from optimiser.run_sheet.checks_before import OFF, Quantity, check_groups, quantities
from optimiser.run_sheet.during import LogRow, log_blanks, log_rows
from optimiser.run_sheet.ending import Ending, ending
from optimiser.run_sheet.go_ahead import GO_HEAD, how_to_read, start_ticks
from optimiser.run_sheet.headline import (
    READ_FIRST,
    Fact,
    clock_facts,
    clock_rule,
    facts,
    is_verified,
    latest_first_tap,
    latest_first_tap_note,
    stop_time,
    verdict_note,
    verdict_words,
)
from optimiser.run_sheet.identity import alarm, footer
from optimiser.run_sheet.mistakes import MistakePage, mistake_page
from optimiser.run_sheet.mixes import Mixes, mixes_of
from optimiser.run_sheet.proof_words import proof_lines
from optimiser.run_sheet.reasons import ReasonText, locked_texts, reason_texts
from optimiser.run_sheet.rows import StepGroup, step_groups
from optimiser.run_sheet.supply import how_to_read_kg, supply_hose_warning
from optimiser.run_sheet.what_ifs import IN_CHARGE, WhatIf, what_ifs
from optimiser.run_sheet.wording import to_have


@dataclass(frozen=True, kw_only=True)
class Contents:
    """Everything printed for one plan. A plan that is not verified has reasons and no orders."""

    job: str
    alarm: str
    """Above all else on the first page; empty: nothing."""
    verified: bool
    verdict: str
    verdict_note: str
    proof: list[str]
    facts: list[Fact]
    clock: list[Fact]
    stop_time: str
    latest_first_tap: str
    clock_rule: str
    read_first: str
    reasons: list[ReasonText]
    remedies: list[str]
    locked: list[str]
    go_head: str
    start: tuple[str, ...]
    """Ticked after GO."""
    how_to_read: tuple[str, ...]
    read_kg: str
    """Above the steps; empty: a counter is read."""
    groups: list[StepGroup]
    ending: Ending
    off: str
    """Above the checks."""
    checks: list[CheckGroup]
    quantities: list[Quantity]
    total: str
    mixes: Mixes
    what_ifs: list[WhatIf]
    in_charge: str
    mistakes: MistakePage | None
    due_together: bool
    """Whether that page says which of several steps must come first."""
    log_blanks: tuple[str, ...]
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
        alarm=alarm(plan),
        verified=verified,
        verdict=verdict_words(plan),
        verdict_note=verdict_note(plan),
        proof=proof_lines(plan),
        facts=facts(plan),
        clock=clock_facts(plan),
        stop_time=stop_time(plan),
        latest_first_tap=latest_first_tap(plan),
        clock_rule=f"{clock_rule(plan)} {latest_first_tap_note(plan)}".strip(),
        read_first=READ_FIRST,
        reasons=[] if verified else reason_texts(plan),
        remedies=[] if verified else [*conflict_lines(plan), *remedy_lines(plan), *advice_lines(plan.advice)],
        locked=locked_texts(plan),
        go_head=GO_HEAD,
        start=start_ticks(plan) if verified else (),
        how_to_read=(*tool_side_lines(plan), *how_to_read(plan)),
        read_kg=how_to_read_kg(plan),
        groups=step_groups(plan) if verified else [],
        ending=ending(plan),
        off=OFF,
        checks=check_groups(plan) if verified else [],
        quantities=quantities(plan),
        total=to_have(plan.resin.total_kg),
        mixes=mixes_of(plan),
        what_ifs=what_ifs(plan),
        in_charge=IN_CHARGE,
        mistakes=mistake_page(plan) if verified else None,
        due_together=verified and plan.mistakes is not None and bool(plan.mistakes.close),
        log_blanks=log_blanks(plan),
        log_rows=log_rows(plan),
        after=after_lines(plan),
        record=RECORD_BLANKS,
        cautions=cautions_of(plan),
        defer=DEFER,
        warnings=[*plan.warnings, *(supply_hose_warning(plan) if verified else ())],
        assumptions=assumption_lines(plan),
        footer=footer(plan),
    )
