"""The first page of the PDF: job, verdict, gel clock and the go-ahead; or why the plan may not be used."""

from __future__ import annotations

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, KeepTogether, Spacer

from optimiser.run_sheet.contents import Contents
from optimiser.run_sheet.headline import Fact
from optimiser.run_sheet.pdf_blocks import BLACK, WIDTH, Cell, fitted, heading, marked, plain, table, words
from optimiser.run_sheet.wording import BOX

_ON_ONE_LINE = 3
"""Ticks of every shot; those of some have lines of their own."""


def headline(sheet: Contents) -> list[Flowable]:
    """Job, verdict, conditions and gel clock: the top of page one."""
    half = WIDTH / 2
    facts = [_fact(fact) for fact in sheet.facts]
    facts += [words("")] * (len(facts) % 2)
    clock = [[_big(fact) for fact in sheet.clock]]
    return [
        fitted(sheet.job, WIDTH, largest=20, smallest=11),
        Spacer(1, 2 * mm),
        *_alarm(sheet),
        table(
            [[[fitted(sheet.verdict, WIDTH - 20, largest=24, smallest=14), words(sheet.verdict_note, 10)]]],
            [WIDTH],
            style=[("BOX", (0, 0), (-1, -1), 2.5, BLACK), ("BOTTOMPADDING", (0, 0), (-1, -1), 4)],
        ),
        table([facts[i : i + 2] for i in range(0, len(facts), 2)], [half, half]),
        Spacer(1, 2 * mm),
        table(
            clock,
            [half] * len(sheet.clock),
            style=[
                ("BOX", (0, 0), (0, 0), 2.5, BLACK),
                ("BOX", (1, 0), (1, 0), 1, BLACK),
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ],
        ),
        table(
            [
                [
                    [
                        fitted(sheet.stop_time, WIDTH - 12, largest=17, smallest=11),
                        fitted(sheet.latest_first_tap, WIDTH - 12, largest=14, smallest=10),
                        words(f"{sheet.clock_rule} {sheet.read_first}", 10),
                    ]
                ]
            ],
            [WIDTH],
            style=[("BOX", (0, 0), (-1, -1), 2.5, BLACK), ("TOPPADDING", (0, 0), (-1, -1), 6)],
        ),
        *(marked(f"<b>Warning: {plain(warning)}</b>", 11) for warning in sheet.warnings),
        Spacer(1, 2 * mm),
    ]


def go_ahead(sheet: Contents, ticks: tuple[str, ...], rule: str) -> list[Flowable]:
    """Nothing is turned before this box is full; then how the table is read."""
    boxed = [f"{BOX}&nbsp;{plain(tick)}" for tick in ticks]
    said = "<br/>".join(["&nbsp;&nbsp; ".join(boxed[:_ON_ONE_LINE]), *boxed[_ON_ONE_LINE:]])
    box = table(
        [
            [
                words(sheet.go_head, 14, bold=True, white=True),
                marked(said.replace(BOX, f'<font size="17">{BOX}</font>'), 12, leading=16),
            ]
        ],
        [26 * mm, WIDTH - 26 * mm],
        style=[
            ("BACKGROUND", (0, 0), (0, 0), BLACK),
            ("BOX", (0, 0), (-1, -1), 2.5, BLACK),
            ("TOPPADDING", (0, 0), (-1, -1), 4),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 6),
        ],
    )
    read = (*sheet.how_to_read, rule)
    return [*(marked(f"• {plain(line)}", 10) for line in read), Spacer(1, 2 * mm), box, Spacer(1, 1 * mm)]


def _alarm(sheet: Contents) -> list[Flowable]:
    if not sheet.alarm:
        return []
    said = [[words(sheet.alarm, 14, bold=True, white=True)]]
    return [table(said, [WIDTH], style=[("BACKGROUND", (0, 0), (-1, -1), BLACK)]), Spacer(1, 2 * mm)]


def _fact(fact: Fact) -> Cell:
    note = f" ({plain(fact.note)})" if fact.note else ""
    return marked(f"{plain(fact.name)}: <b>{plain(fact.value)}</b>{note}", 10)


def _big(fact: Fact) -> Cell:
    return [words(fact.name, 10, bold=True), words(fact.value, 21, bold=True), words(fact.note, 10)]


def refusal(sheet: Contents) -> list[Flowable]:
    """Page one of a plan that may not be used: the words, then why."""
    banner = table(
        [
            [
                [
                    words(sheet.verdict, 54, bold=True, white=True),
                    Spacer(1, 3 * mm),
                    words(sheet.verdict_note, 12, white=True),
                ]
            ]
        ],
        [WIDTH],
        style=[
            ("BACKGROUND", (0, 0), (-1, -1), BLACK),
            ("LEFTPADDING", (0, 0), (-1, -1), 14),
            ("TOPPADDING", (0, 0), (-1, -1), 8),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 14),
        ],
    )
    reasons = [
        KeepTogether(
            [
                Spacer(1, 3 * mm),
                words(f"{number}. {reason.requirement}", 14, bold=True),
                marked(f"Where: {plain(reason.where)}", 12),
                marked(f"By how much: <b>{plain(reason.by_how_much)}</b>", 12),
                marked(f"Worth a try, not verified: {plain(reason.remedy)}", 12),
            ]
        )
        for number, reason in enumerate(sheet.reasons, 1)
    ]
    return [
        fitted(sheet.job, WIDTH, largest=20, smallest=11),
        Spacer(1, 3 * mm),
        banner,
        Spacer(1, 4 * mm),
        heading("Why not"),
        *reasons,
        Spacer(1, 4 * mm),
        *([heading("Changes of the case that were tried")] if sheet.remedies else []),
        *(words(line, 12) for line in sheet.remedies),
        *(marked(f"<b>Look at this first:</b> {plain(warning)}", 12) for warning in sheet.warnings),
        Spacer(1, 2 * mm),
        *(words(line, 11) for line in sheet.locked),
    ]
