"""The tap table of the PDF: one block per trigger, which stays on one page where it fits."""

from __future__ import annotations

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, KeepTogether, Spacer, Table

from optimiser.run_sheet.bleeding import Bleeding
from optimiser.run_sheet.ending import Ending
from optimiser.run_sheet.pdf_blocks import (
    BLACK,
    TINT,
    WIDTH,
    Cell,
    OrderNumber,
    TickBox,
    fitted,
    marked,
    plain,
    table,
    words,
)
from optimiser.run_sheet.rows import StepGroup, StepRow
from optimiser.run_sheet.tool_side_wait import ToolSideWait
from optimiser.run_sheet.wording import BOX

HEADS = ("Done", "Step", "Do", "Label", "Expected (range)", "Done at")
COLUMNS = (13 * mm, 16 * mm, 32 * mm, 48 * mm, 54 * mm, 23 * mm)


def head_row() -> Table:
    """The names of the columns, printed above the first block and again on each page that goes on."""
    return table([[words(head, 10, bold=True) for head in HEADS]], COLUMNS)


def tap_block(group: StepGroup, *, before: Flowable, after: Flowable) -> KeepTogether:
    """A trigger and its steps, between two marks. No step is torn apart.

    Where the block is longer than a page, its trigger is repeated.
    """
    rows: list[list[Cell]] = [[_trigger(group), "", "", "", "", ""]]
    spans = []
    for row in group.rows:
        for first in row.first:
            spans.append(("SPAN", (1, len(rows)), (-1, len(rows))))
            rows.append([TickBox(), _bled(first), "", "", "", ""])
        rows.append(_cells(row))
    block = table(
        rows,
        COLUMNS,
        heads=1,
        style=[
            ("SPAN", (0, 0), (-1, 0)),
            ("BACKGROUND", (0, 0), (-1, 0), TINT),
            ("LINEABOVE", (0, 0), (-1, 0), 2.5, BLACK),
            ("LINEBEFORE", (5, 1), (5, -1), 0.7, BLACK),
            ("BOTTOMPADDING", (0, 0), (-1, 0), 4),
            *spans,
        ],
    )
    return KeepTogether([before, *_ahead(group), block, after])


def _ahead(group: StepGroup) -> list[Flowable]:
    """Above the trigger, since it is done before that comes."""
    if not group.ahead:
        return []
    block = table(
        [[TickBox(), _bled(ahead)] for ahead in group.ahead],
        (COLUMNS[0], WIDTH - COLUMNS[0]),
        style=[("LINEABOVE", (0, 0), (-1, 0), 2.5, BLACK)],
    )
    return [block]


def _bled(bleeding: Bleeding | ToolSideWait) -> list[Cell]:
    return [words(bleeding.do, 12, bold=True), words(bleeding.notes, 10)]


def _trigger(group: StepGroup) -> list[Cell]:
    said = f"{group.call}: {group.says}" if group.says else group.call
    cells = [words(said, 13, bold=True)]
    below = [group.along, f"Cannot see it? {group.backup}." if group.backup else ""]
    if any(below):
        cells.append(words(" ".join(filter(None, below)), 10))
    if group.if_together:
        cells.append(words(f"{group.if_together}.", 11, bold=True))
    if len(group.rows) > 1:
        cells.append(words(group.count, 10))
    return cells


def _cells(row: StepRow) -> list[Cell]:
    return [
        TickBox(),
        [words("STEP", 10, bold=True), OrderNumber(row.order, filled=row.fills)],
        [fitted(row.action, COLUMNS[2] - 6, largest=17, smallest=17), words(row.what, 10)],
        [fitted(row.label, COLUMNS[3] - 6, largest=24, smallest=10, height=34), *_own(row)],
        _expected(row),
        "",
    ]


def _own(row: StepRow) -> list[Cell]:
    own: list[Cell] = [words(row.own_trigger, 10.5)] if row.own_trigger else []
    return own + ([words(f"Cannot see it? {row.own_backup}.", 10.5)] if row.own_backup else [])


def _expected(row: StepRow) -> list[Cell]:
    spread = f' <font size="11">({plain(row.spread)})</font>' if row.spread else ""
    lines: list[Cell] = [marked(f"<b>{plain(row.minute)}</b>{spread}", 16)]
    if row.amount:
        lines.append(words(row.amount, 11))
    if row.beware:
        lines.append(words(row.beware, 10, bold=True))
    return [*lines, words(row.flow, 9)] if row.flow else lines


def _with_boxes(line: str) -> Cell:
    """The boxes within the sentence large enough to tick."""
    return marked(plain(line).replace(BOX, f'<font size="19">{BOX}</font>'), 13, leading=20)


def ending_block(ending: Ending) -> KeepTogether:
    """All wet, then the yard's decision: the last thing on the table."""
    seen = [line for line in (ending.wait, ending.all_wet) if line]
    rows: list[list[Cell]] = [[TickBox(), words(line, 14, bold=True)] for line in seen]
    rows.append([words(ending.decided_head, 12, bold=True), ""])
    rows += [[TickBox(), _with_boxes(line)] for line in ending.decided]
    rows.append([TickBox(), words(ending.hold, 13, bold=True)])
    block = table(
        rows,
        (COLUMNS[0], WIDTH - COLUMNS[0]),
        style=[
            ("BOX", (0, 0), (-1, -1), 3, BLACK),
            ("SPAN", (0, len(seen)), (-1, len(seen))),
            ("BACKGROUND", (0, len(seen)), (-1, len(seen)), TINT),
            ("TOPPADDING", (0, 0), (-1, -1), 5),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 5),
        ],
    )
    return KeepTogether([Spacer(1, 4 * mm), block])
