"""The pages of the PDF after the tap table: before, during and after the shot, cautions, assumptions."""

from __future__ import annotations

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, KeepTogether, Spacer

from optimiser.run_sheet.contents import Contents
from optimiser.run_sheet.headline import Fact
from optimiser.run_sheet.pdf_blocks import (
    BLACK,
    TINT,
    WIDTH,
    Cell,
    TickBox,
    fitted,
    heading,
    marked,
    plain,
    table,
    words,
)


def headline(sheet: Contents) -> list[Flowable]:
    """Job, verdict, conditions and gel clock: the top of page one."""
    half = WIDTH / 2
    facts = [_fact(fact) for fact in sheet.facts]
    facts += [words("")] * (len(facts) % 2)
    clock = [[_big(fact) for fact in sheet.clock]]
    return [
        fitted(sheet.job, WIDTH, largest=20, smallest=11),
        Spacer(1, 2 * mm),
        table(
            [[[fitted(sheet.verdict, WIDTH - 20, largest=24, smallest=14), words(sheet.verdict_note, 9.5)]]],
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
        words(f"{sheet.clock_rule} {sheet.read_first}", 8.5),
        *(marked(f"<b>Warning:</b> {plain(warning)}", 9.5) for warning in sheet.warnings),
        Spacer(1, 2 * mm),
    ]


def _fact(fact: Fact) -> Cell:
    note = f" ({plain(fact.note)})" if fact.note else ""
    return marked(f"{plain(fact.name)}: <b>{plain(fact.value)}</b>{note}", 10)


def _big(fact: Fact) -> Cell:
    return [words(fact.name, 10, bold=True), words(fact.value, 21, bold=True), words(fact.note, 9)]


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
                marked(f"What would do: {plain(reason.remedy)}", 12),
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
        *(words(line, 11) for line in sheet.locked),
    ]


def before(sheet: Contents) -> list[Flowable]:
    """Checks with room for the readings, resin by use, and the mixes."""
    widths = (11 * mm, WIDTH - 61 * mm, 50 * mm)
    rows: list[list[Cell]] = [[words(text, 9, bold=True) for text in ("OK", "Check", "Reading")]]
    for check in sheet.checks:
        what = f"<b>{plain(check.what)}</b>" + (f"<br/>{plain(check.planned)}" if check.planned else "")
        reading = words(f"................... {check.blank}", 9) if check.blank else ""
        rows.append([TickBox(6 * mm), marked(what, 10), reading])
    return [heading("Before the shot"), table(rows, widths, heads=1), Spacer(1, 3 * mm), *_resin(sheet)]


def _resin(sheet: Contents) -> list[Flowable]:
    rows: list[list[Cell]] = [[words("Resin for", 9, bold=True), words("kg", 9, bold=True)]]
    rows += [[words(q.use), words(q.amount)] for q in sheet.quantities]
    rows.append([words("Mixed resin in all", 13, bold=True), words(sheet.total, 13, bold=True)])
    quantities = table(
        rows, (WIDTH - 50 * mm, 50 * mm), heads=1, style=[("LINEABOVE", (0, -1), (-1, -1), 2, BLACK)]
    )
    heads = ("Mix", "Resin, kg", "Initiator, kg", "Initiator in at", "By")
    mixes: list[list[Cell]] = [[words(head, 9, bold=True) for head in heads]]
    mixes += [[words(str(number)), "", "", "", ""] for number in range(1, sheet.mix_blanks + 1)]
    blanks = table(
        mixes, (14 * mm, *[(WIDTH - 14 * mm) / 4] * 4), heads=1, heights=_heights(mixes, 8 * mm), style=_GRID
    )
    said = [words(line, 11, bold=True) for line in sheet.mix_lines]
    return [
        KeepTogether([quantities]),
        KeepTogether([heading("Mixes"), *said, Spacer(1, 2 * mm), blanks]),
        Spacer(1, 4 * mm),
    ]


def during(sheet: Contents) -> list[Flowable]:
    """What if, and the log."""
    what_if = table(
        [[words(item.happens, 11.5, bold=True), words(item.do, 10.5)] for item in sheet.what_ifs],
        (46 * mm, WIDTH - 46 * mm),
        style=[("BOX", (0, 0), (-1, -1), 2.5, BLACK), ("BACKGROUND", (0, 0), (0, -1), TINT)],
    )
    heads = ("Min", "Expected in", "Kg gone in", "What happened")
    log: list[list[Cell]] = [[words(head, 9, bold=True) for head in heads]]
    log += [[words(row.minute, bold=True), words(row.expected), "", ""] for row in sheet.log_rows]
    widths = (16 * mm, 28 * mm, 30 * mm, WIDTH - 74 * mm)
    return [
        heading("During the shot: what if"),
        what_if,
        Spacer(1, 4 * mm),
        heading("Log"),
        table(log, widths, heads=1, heights=_heights(log, 8 * mm), style=_GRID),
    ]


def after(sheet: Contents) -> list[Flowable]:
    """Until the part may be touched, and what is written down."""
    record = [[words(blank, bold=True), ""] for blank in sheet.record]
    return [
        heading("After the shot"),
        *(marked(f"• {plain(line)}", 11) for line in sheet.after),
        Spacer(1, 2 * mm),
        table(record, (60 * mm, WIDTH - 60 * mm), heights=[8 * mm] * len(record), style=_GRID),
        Spacer(1, 3 * mm),
    ]


def cautions(sheet: Contents) -> list[Flowable]:
    """Hazards; the data sheets come first."""
    rows = [[words(caution.hazard, 11.5, bold=True), words(caution.text, 10.5)] for caution in sheet.cautions]
    return [
        heading("Cautions"),
        words(sheet.defer, 10.5, bold=True),
        Spacer(1, 1.5 * mm),
        table(rows, (38 * mm, WIDTH - 38 * mm), style=[("BOX", (0, 0), (-1, -1), 1.5, BLACK)]),
        Spacer(1, 3 * mm),
    ]


def granted(sheet: Contents) -> list[Flowable]:
    """The compact list: proof, warnings and assumptions."""
    locked = sheet.locked if sheet.verified else []
    warnings = [] if sheet.verified else sheet.warnings
    return [
        heading("What this plan takes for granted"),
        words(sheet.proof, 9),
        *(marked(f"<b>Warning:</b> {plain(line)}", 9) for line in warnings),
        *(words(line, 9) for line in locked),
        words("This plan assumes:", 9),
        *(marked(f"• {plain(line)}", 9) for line in sheet.assumptions),
    ]


_GRID = [("INNERGRID", (0, 0), (-1, -1), 0.7, BLACK)]


def _heights(rows: list[list[Cell]], each: float) -> list[float | None]:
    """A head as high as its words, then rows to write in."""
    return [None, *[each] * (len(rows) - 1)]
