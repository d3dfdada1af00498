"""The pages of the PDF after the tap table: before, during and after the shot, cautions, assumptions."""

from __future__ import annotations

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, KeepTogether, PageBreak, Spacer

from optimiser.run_sheet.check import Check
from optimiser.run_sheet.contents import Contents
from optimiser.run_sheet.mixes import BEGIN, MIXING
from optimiser.run_sheet.pdf_blocks import (
    BLACK,
    TINT,
    WIDTH,
    Cell,
    TickBox,
    heading,
    marked,
    plain,
    table,
    words,
)


def before(sheet: Contents) -> list[Flowable]:
    """Checks with room for the readings, resin by use, and the mixes."""
    widths = (11 * mm, WIDTH - 59 * mm, 48 * mm)
    head = [words(text, 10, bold=True) for text in ("OK", "Check", "Reading")]
    found: list[Flowable] = [heading("Before the shot"), words(sheet.off, 13, bold=True)]
    for group in sheet.checks:
        title: list[Cell] = [words(group.head, 13, bold=True), "", ""]
        rows = [title, head, *map(_check, group.rows)]
        found += [Spacer(1, 2 * mm), table(rows, widths, heads=2, style=[("SPAN", (0, 0), (-1, 0))])]
    return [*found, Spacer(1, 3 * mm), *_resin(sheet)]


def _check(check: Check) -> list[Cell]:
    what = f"<b>{plain(check.what)}</b>" + (f"<br/>{plain(check.planned)}" if check.planned else "")
    reading = words(f"............. {check.blank}", 10) if check.blank else ""
    return [TickBox(6 * mm), marked(what, 10.5), reading]


def _resin(sheet: Contents) -> list[Flowable]:
    rows: list[list[Cell]] = [[words("Resin for", 10, bold=True), words("kg", 10, bold=True)]]
    rows += [[words(q.use), words(q.amount)] for q in sheet.quantities]
    rows.append(
        [words("Resin in all, as bought, before the initiator", 12, bold=True), words(sheet.total, 13, bold=True)]
    )
    quantities = table(rows, (WIDTH - 50 * mm, 50 * mm), heads=1, style=[("LINEABOVE", (0, -1), (-1, -1), 2, BLACK)])
    return [KeepTogether([quantities]), KeepTogether(_mixes(sheet)), Spacer(1, 4 * mm)]


def _mixes(sheet: Contents) -> list[Flowable]:
    """How resin and initiator are put together, with a row for each mix or pot where there are any."""
    said = [heading(MIXING), *(words(line, 12, bold=True) for line in sheet.mixes.says)]
    if not sheet.mixes.heads:
        return said
    rows: list[list[Cell]] = [[words(head, 10, bold=True) for head in sheet.mixes.heads]]
    rows += [[words(cell, 11, bold=True) for cell in row] for row in sheet.mixes.rows]
    timed = BEGIN in sheet.mixes.heads
    fixed = (12 * mm, *[30 * mm] * (2 * timed))
    others = len(sheet.mixes.heads) - len(fixed)
    widths = (*fixed, *[(WIDTH - sum(fixed)) / others] * others)
    heights = _heights(rows, (16 if timed else 9) * mm)
    return [*said, Spacer(1, 2 * mm), table(rows, widths, heads=1, heights=heights, style=_GRID)]


def during(sheet: Contents) -> list[Flowable]:
    """What if, and the log."""
    what_if = table(
        [[words(item.happens, 12, bold=True), words(item.do, 12)] for item in sheet.what_ifs],
        (52 * mm, WIDTH - 52 * mm),
        style=[("BOX", (0, 0), (-1, -1), 2.5, BLACK), ("BACKGROUND", (0, 0), (0, -1), TINT)],
    )
    blanks = len(sheet.log_blanks)
    heads = ("Min", "Expected in (low–high)", *sheet.log_blanks)
    log: list[list[Cell]] = [[words(head, 10, bold=True) for head in heads]]
    log += [[words(row.minute, 11, bold=True), words(row.expected, 11), *[""] * blanks] for row in sheet.log_rows]
    each = 25 * mm if blanks <= _WIDE_BLANKS else 18 * mm
    fixed = (16 * mm, 45 * mm, *[each] * (blanks - 1))
    widths = (*fixed, WIDTH - sum(fixed))
    return [
        heading("During the shot: what if"),
        words(sheet.in_charge, 12, bold=True),
        Spacer(1, 2 * mm),
        what_if,
        Spacer(1, 4 * mm),
        heading("Log"),
        table(log, widths, heads=1, heights=_heights(log, 8 * mm), style=_GRID),
    ]


def mistakes(sheet: Contents, mark: Flowable) -> list[Flowable]:
    """The worst single mistake at each step; nothing where none were played."""
    page = sheet.mistakes
    if page is None:
        return []
    rows: list[list[Cell]] = [[words(head, 10, bold=True) for head in page.heads]]
    rows += [
        [
            words(str(row.order), 12, bold=True),
            words(row.label, 12, bold=True),
            words(row.happens, 10.5),
            words(row.does, 11, bold=row.bad),
        ]
        for row in page.rows
    ]
    widths = (13 * mm, 24 * mm, 34 * mm, WIDTH - 71 * mm)
    close = [words(line, 11) for line in page.close]
    return [
        PageBreak(),
        heading(page.head),
        words(page.no_leave, 11, bold=True),
        words(page.statement, 10),
        Spacer(1, 2 * mm),
        table(rows, widths, heads=1, style=_GRID),
        Spacer(1, 3 * mm),
        *([KeepTogether([mark, words(page.together, 13, bold=True), *close])] if close else []),
        PageBreak(),
    ]


def after(sheet: Contents) -> list[Flowable]:
    """Until the part may be touched, and what is written down."""
    record = [[words(blank, bold=True), ""] for blank in sheet.record]
    block = [
        heading("After the shot"),
        *(marked(f"• {plain(line)}", 12) for line in sheet.after),
        Spacer(1, 2 * mm),
        table(record, (60 * mm, WIDTH - 60 * mm), heights=[9 * mm] * len(record), style=_GRID),
        Spacer(1, 3 * mm),
    ]
    return [KeepTogether(block)]


def cautions(sheet: Contents, mark: Flowable | None = None) -> list[Flowable]:
    """Hazards; the data sheets come first."""
    rows = [[words(caution.hazard, 13, bold=True), words(caution.text, 13)] for caution in sheet.cautions]
    block = [
        *([] if mark is None else [mark]),
        heading("Cautions"),
        words(sheet.defer, 12, bold=True),
        Spacer(1, 1.5 * mm),
        table(rows, (38 * mm, WIDTH - 38 * mm), style=[("BOX", (0, 0), (-1, -1), 1.5, BLACK)]),
        Spacer(1, 3 * mm),
    ]
    return [KeepTogether(block)]


def granted(sheet: Contents) -> list[Flowable]:
    """The compact list: proof, spots too small to matter, assumptions."""
    locked = sheet.locked if sheet.verified else []
    return [
        heading("What this plan takes for granted"),
        *(words(line, 10) for line in sheet.proof),
        *(words(line, 10) for line in locked),
        words("This plan assumes:", 10),
        *(marked(f"• {plain(line)}", 10) for line in sheet.assumptions),
    ]


_WIDE_BLANKS = 5
"""More columns to write in than this are narrower."""
_GRID = [("INNERGRID", (0, 0), (-1, -1), 0.7, BLACK)]


def _heights(rows: list[list[Cell]], each: float) -> list[float | None]:
    """A head as high as its words, then rows to write in."""
    return [None, *[each] * (len(rows) - 1)]
